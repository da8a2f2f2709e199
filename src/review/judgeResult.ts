import { reviewAdjusters } from './adjusters/reviewAdjusters';
import { bandsOf, isJudged } from './bands';
import { basisOfReference, compareBasis } from './basis';
import { changeSinceBuild } from './changeSinceBuild';
import { DECISION_RULE } from './decisionRule';
import type { Finding } from './finding';
import { gasOfResult } from './gasOfResult';
import type { JudgedPoint, JudgedResult, Verdict } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import { judgePoints } from './judgePoints';
import { missingPoints } from './planCoverage';
import { RESULT_RULES } from './rules/allRules';
import { RULES } from './rules/catalogue';
import type { RuleContext } from './rules/ruleContext';
import { notComparedTexts } from './rules/testBasisDiffers';
import { shapeOfResult } from './shapeOfResult';
import { worstPoint } from './verdictSentence';
import { applyWaivers } from './waivers';
import { countText, unitLabel } from './wording';

/**
 * Judges one result, committed or fresh from its logs, by its spec and reference. Pure: the same input gives the same result, and nothing
 * else may influence it. Never throws for what files hold; what cannot be judged is undecided, with the reason.
 */
export function judgeResult(input: JudgeInput): JudgedResult {
  const context = contextOf(input);
  const { points, bands, missing, adjusters } = context;
  const raised: Finding[] = [];
  for (const rule of RESULT_RULES) {
    const found = rule(context);
    if (found.length > 0) raised.push(...found);
  }
  const findings = applyWaivers(bySeverity(raised), input.config.waivers, input.today, input.file);
  const judged = points.filter(isJudged);
  const { table, spec } = input;
  const result: Draft<JudgedResult> = {
    file: input.file,
    logs: logsOf(input),
    specId: spec?.id ?? table.spec,
    serial: table.result?.serial ?? '',
    build: table.result?.build ?? '',
    table,
    points,
    bands,
    missing: missing.map(({ setting, velocity }) => ({ setting, velocity })),
    verdict: verdictOf(judged, missing.length, findings),
    reasons: reasonsOf(context, judged, findings),
    decisionRule: DECISION_RULE,
    notCompared: notComparedTexts(context),
    benchIncluded: benchIncluded(input),
    attempt: input.attempt,
    findings,
  };
  const gas = gasOfResult(input);
  const friction = input.analysis?.gas.friction;
  // Written out: a spread of what may be absent takes ten times as long, and this is made for every result.
  if (spec !== undefined) result.spec = spec;
  if (input.reference !== undefined) result.reference = input.reference;
  if (input.analysis !== undefined) result.analysis = input.analysis;
  if (context.worst !== undefined) result.worst = context.worst;
  if (gas !== undefined) result.gas = gas;
  if (friction !== undefined) result.friction = friction;
  if (context.shape !== undefined) result.shape = context.shape;
  if (adjusters.sweeps.length > 0) result.adjusters = adjusters;
  if (input.normalisation !== undefined) result.normalisation = input.normalisation;
  if (input.runToRun !== undefined) result.runToRun = input.runToRun;
  if (context.change !== undefined) result.change = context.change;
  return result;
}

/** What is being put together. */
type Draft<Whole> = { -readonly [Key in keyof Whole]: Whole[Key] };

function contextOf(input: JudgeInput): RuleContext {
  const { spec, reference, table, config } = input;
  const basis = reference && compareBasis(table.basis, basisOfReference(reference, spec?.test.stroke));
  const points = judgePoints(input, basis);
  const worst = worstPoint(points);
  const context: Draft<RuleContext> = {
    input,
    points,
    bands: bandsOf(points),
    missing: missingPoints(input),
    adjusters: reviewAdjusters(input),
    unit: unitLabel({ serial: table.result?.serial ?? '', build: table.result?.build ?? '', file: input.file }),
    overrides: { spec: spec?.rules, config: config.rules },
  };
  const change = changeSinceBuild(input);
  const shape = shapeOfResult(points, worst, spec);
  if (worst !== undefined) context.worst = worst;
  if (basis !== undefined) context.basis = basis;
  if (change !== undefined) context.change = change;
  if (shape !== undefined) context.shape = shape;
  return context;
}

/**
 * Fail on any failed point or unwaived error, else undecided on any undecided or missing planned point, else pass; nothing judged is
 * undecided. Points of a side that the spec gives no tolerance for do not count.
 */
function verdictOf(judged: readonly JudgedPoint[], missing: number, findings: readonly Finding[]): Verdict {
  if (judged.some((p) => p.verdict === 'fail') || findings.some(isUnwaivedError)) return 'fail';
  if (judged.length === 0 || missing > 0 || judged.some((p) => p.verdict === 'undecided')) return 'undecided';
  return 'pass';
}

function isUnwaivedError(finding: Finding): boolean {
  return finding.level === 'error' && finding.waived === undefined;
}

/** Why the whole is failed or undecided where the worst point does not say so, the weightiest reason first. */
function reasonsOf(
  { points, missing, input }: RuleContext,
  judged: readonly JudgedPoint[],
  findings: readonly Finding[],
): readonly string[] {
  const errors = findings.filter((f) => isUnwaivedError(f) && f.rule !== 'drift-from-reference');
  const titles = new Set(errors.map((f) => RULES.get(f.rule)?.title ?? f.rule));
  const reasons = [...titles].map((title) => title.charAt(0).toLowerCase() + title.slice(1));
  if (points.length === 0) reasons.push(input.table.rows.length === 0 ? 'nothing was measured' : 'no force is given');
  else if (judged.length === 0) reasons.push('the spec gives no tolerance to judge by');
  if (missing.length > 0 && points.length > 0) reasons.push(`${countText(missing.length, 'planned point')} missing`);
  const causes = new Map<string, number>();
  for (const point of judged)
    if (point.reason !== undefined && point.cause !== 'guard band')
      causes.set(point.reason, (causes.get(point.reason) ?? 0) + 1);
  const shown = [...causes].sort((a, b) => b[1] - a[1]).slice(0, MOST_REASONS);
  const texts = shown.map(([reason, count]) =>
    count === judged.length ? sentence(reason) : `${countText(count, 'point')}: ${sentence(reason)}`,
  );
  const guarded = judged.filter((p) => p.cause === 'guard band').length;
  return [
    ...reasons,
    ...texts,
    ...(guarded > 0 ? [`${countText(guarded, 'point')} too close to the limit for this test`] : []),
  ];
}

/** Reasons that differ only in a temperature would fill a page. */
const MOST_REASONS = 3;

/** A point's reason as part of a longer sentence. */
function sentence(reason: string): string {
  return reason.charAt(0).toLowerCase() + reason.slice(1).replace(/\.$/, '');
}

const RANK = { error: 0, warning: 1, note: 2 } as const;

/** Errors first; within a level in the order of the rules. */
function bySeverity(findings: readonly Finding[]): readonly Finding[] {
  return [...findings].sort((a, b) => RANK[a.level] - RANK[b.level]);
}

function logsOf(input: JudgeInput): readonly string[] {
  if (input.logs.length > 0) return input.logs.map((log) => log.head.file);
  return (input.table.result?.source ?? []).map((source) => source.path);
}

function benchIncluded({ analysis, table }: JudgeInput): boolean {
  if (analysis !== undefined && analysis.points.length > 0)
    return analysis.points.every((p) => p.uncertainty.benchIncluded);
  return table.result?.benchIncluded ?? false;
}
