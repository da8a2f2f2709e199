import { isJudged } from './bands';
import { DECISION_RULE } from './decisionRule';
import type { Finding } from './finding';
import { shownGas } from './gasOfResult';
import type { JudgedPoint, JudgedResult, Verdict } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import { withPoints, type PlainResult } from './lazyPoints';
import { ContextOfResult } from './contextOfResult';
import { errorRulesFor, rulesFor } from './rules/allRules';
import { RULES } from './rules/catalogue';
import type { Rule, RuleContext } from './rules/ruleContext';
import { applyWaivers } from './waivers';
import { countText } from './wording';

/**
 * Judges one result, committed or fresh from its logs, by its spec and reference. Pure: the same input gives the same result, and nothing
 * else may influence it. Never throws for what files hold; what cannot be judged is undecided, with the reason.
 *
 * @param shownSpec the spec that the result names, where the one to judge by notes what is looked up in it
 */
export function judgeResult(input: JudgeInput): JudgedResult {
  const context = new ContextOfResult(input);
  const findings = findingsOf(context, rulesFor(input));
  const { judged, missing } = context;
  const { table, spec } = input;
  const result: Draft<PlainResult> = {
    file: input.file,
    logs: logsOf(input),
    specId: spec?.id ?? table.spec,
    serial: table.result?.serial ?? '',
    build: table.result?.build ?? '',
    table,
    missing: missing.length === 0 ? NONE : missing.map(({ setting, velocity }) => ({ setting, velocity })),
    verdict: verdictOf(context, findings),
    reasons: reasonsOf(context, findings),
    decisionRule: DECISION_RULE,
    notCompared: context.notCompared,
    benchIncluded: benchIncluded(input),
    attempt: input.attempt,
    findings,
  };
  const friction = input.analysis?.gas.friction;
  // Written out: a spread of what may be absent takes ten times as long, and this is made for every result.
  if (spec !== undefined) result.spec = spec;
  if (input.reference !== undefined) result.reference = input.reference;
  if (input.analysis !== undefined) result.analysis = input.analysis;
  if (judged.worst >= 0) result.worst = judged.worst;
  if (context.gas !== undefined) result.gas = shownGas(context.gas);
  if (friction !== undefined) result.friction = friction;
  if (context.shape !== undefined) result.shape = context.shape;
  if (context.adjusters.sweeps.length > 0) result.adjusters = context.adjusters;
  if (input.normalisation !== undefined) result.normalisation = input.normalisation;
  if (input.runToRun !== undefined) result.runToRun = input.runToRun;
  if (context.change !== undefined) result.change = context.change;
  return withPoints(result, judged);
}

/**
 * The verdict of `judgeResult` and nothing else: where states of a repository are held against each other it is all that is asked of most
 * results, and takes a third of the work.
 *
 * @param input may lack `before` and `adoptedRoughness` where no rule is made to find errors (`mayFindAnyError`)
 */
export function judgeVerdict(input: JudgeInput): Verdict {
  const context = new ContextOfResult(input);
  if (context.judged.verdict === 'fail') return 'fail';
  return verdictOf(context, findingsOf(context, errorRulesFor(input, context.overrides)));
}

const NONE: readonly never[] = [];

/** What is being put together. */
type Draft<Whole> = { -readonly [Key in keyof Whole]: Whole[Key] };

/** Errors first; within a level in the order of the rules. */
function findingsOf(context: RuleContext, rules: readonly Rule[]): readonly Finding[] {
  const { config, today, file } = context.input;
  const raised: Finding[] = [];
  for (const rule of rules) {
    const found = rule(context);
    if (found.length > 0) raised.push(...found);
  }
  if (raised.length > 1) raised.sort((a, b) => RANK[a.level] - RANK[b.level]);
  return applyWaivers(raised, config.waivers, today, file);
}

const RANK = { error: 0, warning: 1, note: 2 } as const;

/**
 * Fail on any failed point or unwaived error, else undecided on any undecided or missing planned point, else pass; nothing judged is
 * undecided. Points of a side that the spec gives no tolerance for do not count.
 */
function verdictOf({ judged, missing }: RuleContext, findings: readonly Finding[]): Verdict {
  if (judged.verdict === 'fail' || findings.some(isUnwaivedError)) return 'fail';
  return judged.judged === 0 || missing.length > 0 ? 'undecided' : judged.verdict;
}

function isUnwaivedError(finding: Finding): boolean {
  return finding.level === 'error' && finding.waived === undefined;
}

/** Why the whole is failed or undecided where the worst point does not say so, the weightiest reason first. */
function reasonsOf({ judged, missing, input }: RuleContext, findings: readonly Finding[]): readonly string[] {
  const reasons = titlesOfErrors(findings);
  if (judged.count === 0) reasons.push(input.table.rows.length === 0 ? 'nothing was measured' : 'no force is given');
  else if (judged.judged === 0) reasons.push('the spec gives no tolerance to judge by');
  if (missing.length > 0 && judged.count > 0) reasons.push(`${countText(missing.length, 'planned point')} missing`);
  if (judged.verdict !== 'pass') reasons.push(...reasonsOfPoints(judged.points.filter(isJudged)));
  return reasons;
}

/** Of the rules whose errors count, in the order of the findings, each once. */
function titlesOfErrors(findings: readonly Finding[]): string[] {
  const titles: string[] = [];
  for (const finding of findings) {
    if (!isUnwaivedError(finding) || finding.rule === 'drift-from-reference') continue;
    const title = RULES.get(finding.rule)?.title ?? finding.rule;
    const reason = title.charAt(0).toLowerCase() + title.slice(1);
    if (!titles.includes(reason)) titles.push(reason);
  }
  return titles;
}

function reasonsOfPoints(judged: readonly JudgedPoint[]): readonly string[] {
  const causes = new Map<string, number>();
  for (const point of judged)
    if (point.reason !== undefined && point.cause !== 'guard band')
      causes.set(point.reason, (causes.get(point.reason) ?? 0) + 1);
  const shown = [...causes].sort((a, b) => b[1] - a[1]).slice(0, MOST_REASONS);
  const texts = shown.map(([reason, count]) =>
    count === judged.length ? sentence(reason) : `${countText(count, 'point')}: ${sentence(reason)}`,
  );
  const guarded = judged.filter((p) => p.cause === 'guard band').length;
  if (guarded > 0) texts.push(`${countText(guarded, 'point')} too close to the limit for this test`);
  return texts;
}

/** Reasons that differ only in a temperature would fill a page. */
const MOST_REASONS = 3;

/** A point's reason as part of a longer sentence. */
function sentence(reason: string): string {
  return reason.charAt(0).toLowerCase() + reason.slice(1).replace(/\.$/, '');
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
