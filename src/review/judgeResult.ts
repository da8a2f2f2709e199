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
  const { points, bands, missing } = context;
  const raised: Finding[] = [];
  for (const rule of RESULT_RULES) for (const finding of rule(context)) raised.push(finding);
  const findings = applyWaivers(bySeverity(raised), input.config.waivers, input.today, input.file);
  const worst = worstPoint(points);
  const gas = gasOfResult(input);
  const friction = input.analysis?.gas.friction;
  const { table, spec, reference, analysis } = input;
  return {
    file: input.file,
    logs: logsOf(input),
    ...(spec !== undefined && { spec }),
    specId: spec?.id ?? table.spec,
    serial: table.result?.serial ?? '',
    build: table.result?.build ?? '',
    table,
    ...(reference !== undefined && { reference }),
    ...(analysis !== undefined && { analysis }),
    points,
    bands,
    ...(worst !== undefined && { worst }),
    missing: missing.map(({ setting, velocity }) => ({ setting, velocity })),
    verdict: verdictOf(points, missing.length, findings),
    reasons: reasonsOf(context, findings),
    ...(gas !== undefined && { gas }),
    ...(friction !== undefined && { friction }),
    ...(context.shape !== undefined && { shape: context.shape }),
    ...(context.adjusters.sweeps.length > 0 && { adjusters: context.adjusters }),
    decisionRule: DECISION_RULE,
    notCompared: notComparedTexts(context),
    benchIncluded: benchIncluded(input),
    ...(input.normalisation !== undefined && { normalisation: input.normalisation }),
    ...(input.runToRun !== undefined && { runToRun: input.runToRun }),
    ...(context.change !== undefined && { change: context.change }),
    attempt: input.attempt,
    findings,
  };
}

function contextOf(input: JudgeInput): RuleContext {
  const { spec, reference, table, config } = input;
  const basis = reference && compareBasis(table.basis, basisOfReference(reference, spec?.test.stroke));
  const points = judgePoints(input, basis);
  const change = changeSinceBuild(input);
  const shape = shapeOfResult(points, worstPoint(points), spec);
  return {
    input,
    points,
    bands: bandsOf(points),
    missing: missingPoints(input),
    adjusters: reviewAdjusters(input),
    ...(basis !== undefined && { basis }),
    ...(change !== undefined && { change }),
    ...(shape !== undefined && { shape }),
    unit: unitLabel({ serial: table.result?.serial ?? '', build: table.result?.build ?? '', file: input.file }),
    overrides: { spec: spec?.rules, config: config.rules },
  };
}

/**
 * Fail on any failed point or unwaived error, else undecided on any undecided or missing planned point, else pass; nothing judged is
 * undecided. Points of a side that the spec gives no tolerance for do not count.
 */
function verdictOf(points: readonly JudgedPoint[], missing: number, findings: readonly Finding[]): Verdict {
  const judged = points.filter(isJudged);
  if (judged.some((p) => p.verdict === 'fail') || findings.some(isUnwaivedError)) return 'fail';
  if (judged.length === 0 || missing > 0 || judged.some((p) => p.verdict === 'undecided')) return 'undecided';
  return 'pass';
}

function isUnwaivedError(finding: Finding): boolean {
  return finding.level === 'error' && finding.waived === undefined;
}

/** Why the whole is failed or undecided where the worst point does not say so, the weightiest reason first. */
function reasonsOf({ points, missing, input }: RuleContext, findings: readonly Finding[]): readonly string[] {
  const errors = findings.filter((f) => isUnwaivedError(f) && f.rule !== 'drift-from-reference');
  const titles = new Set(errors.map((f) => RULES.get(f.rule)?.title ?? f.rule));
  const reasons = [...titles].map((title) => title.charAt(0).toLowerCase() + title.slice(1));
  const judged = points.filter(isJudged);
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
