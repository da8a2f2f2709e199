import type { Finding } from '../review/finding';
import type { JudgedPoint, JudgedResult, ReviewOutcome, Verdict } from '../review/judgedResult';
import { countsOf } from '../review/findingTally';
import { nameOfFinding } from '../review/outcome';
import type { FindingCounts } from '../review/toldOutcome';
import { RULES } from '../review/rules/catalogue';
import { LOOP_RULES } from '../review/rules/entriesOfLoops';
import { resultName, verdictSentence, verdictWord } from '../review/verdictSentence';
import { countText, forceText, listText, percentText } from '../review/wording';
import { remountingSentence } from './changeParts';

/** Sentences and selections that every report tells alike. They may hold text from files: escape them where they are shown. */

/** Whether this test can tell in from out at all, and what would settle what it leaves open. */
export function decidingSentence(result: JudgedResult): string {
  let judged = 0;
  let most: number | undefined;
  const open: JudgedPoint[] = [];
  for (const point of result.points) {
    if (point.verdict === 'undecided' && point.cause !== 'tolerance') open.push(point);
    if (point.tolerance === undefined || point.share === undefined) continue;
    judged += 1;
    const share = uncertaintyOverTolerance(point);
    if (Number.isFinite(share) && (most === undefined || share > most)) most = share;
  }
  if (judged === 0) return 'Nothing here could be held against a tolerance.';
  const uncertainty =
    most === undefined
      ? 'No uncertainty is stated.'
      : `Uncertainty is at most ${percentText(most)} of tolerance${result.benchIncluded ? '' : ', without that of the bench'}.`;
  const scatter = most === undefined ? '' : ` ${remountingSentence(result)}`;
  if (open.length === 0) return `${uncertainty}${scatter} Every measured point is decided.`;
  return `${uncertainty}${scatter} ${countText(open.length, 'point')} of ${result.points.length} ${open.length === 1 ? 'is' : 'are'} not decided. ${settling(open)}`.trim();
}

function uncertaintyOverTolerance(point: JudgedPoint): number {
  return (point.driftUncertainty ?? point.uncertainty) / point.tolerance!;
}

function settling(open: readonly JudgedPoint[]): string {
  const cycles = open.map((point) => point.cyclesToSettle).filter((count) => count !== undefined);
  if (cycles.length === open.length) return `${Math.max(...cycles)} cycles a step would settle all of them.`;
  if (cycles.length > 0) return `${Math.max(...cycles)} cycles a step would settle ${cycles.length} of them.`;
  return '';
}

/** What the loops show, and what these logs cannot show. */
export function loopsSentence(result: JudgedResult): string {
  const count = result.analysis?.loops.length ?? 0;
  if (count === 0) return 'No test log is at hand, so loops, gas and friction were not looked at.';
  const found = result.findings.filter(
    (finding) => Object.hasOwn(LOOP_RULES, finding.rule) && isLoopRule(finding.rule),
  );
  const said =
    found.length === 0
      ? `Nothing found in ${countText(count, 'loop')}.`
      : `${countText(found.length, 'finding')} in ${countText(count, 'loop')}: ${listText([...new Set(found.map(titleOf))])}.`;
  return [said, ...(result.analysis?.cannotShow ?? [])].join(' ');
}

const NOT_OF_LOOPS: ReadonlySet<string> = new Set(['gas-force-low', 'gas-force-high', 'friction-high']);
function isLoopRule(rule: string): boolean {
  return !NOT_OF_LOOPS.has(rule);
}

function titleOf(finding: Finding): string {
  const title =
    (LOOP_RULES as Readonly<Record<string, { readonly title: string }>>)[finding.rule]?.title ?? finding.rule;
  return title.charAt(0).toLowerCase() + title.slice(1);
}

/** Gas and friction, or why they are not known, to stand beside the word `Gas`; undefined where nothing is said of either. */
export function gasSentence({ gas, friction }: JudgedResult): string | undefined {
  const rubbing = friction === undefined || !Number.isFinite(friction) ? [] : [`friction ${forceText(friction)}`];
  if (gas === undefined || !Number.isFinite(gas.force)) return rubbing[0];
  const force = forceText(gas.force);
  if (gas.source === 'none' || gas.source === 'constant') {
    const why = gas.reason === undefined ? '' : ` (${gas.reason.replace(/\.$/, '')})`;
    return [`not known apart from a constant force of ${force}${why}`, ...rubbing].join('; ');
  }
  const expected = gas.expected === undefined ? '' : `, ${forceText(gas.expected)} expected`;
  const how = gas.reason === undefined ? [] : [gas.reason];
  return [`${force} at mid-stroke${expected}`, ...rubbing, ...how].join('; ');
}

/** Why the whole is failed or undecided, as far as the verdict's own line does not say it. */
export function furtherReasons(result: JudgedResult, verdictLine: string): string | undefined {
  const reasons = result.reasons.filter((reason) => !verdictLine.includes(reason));
  return reasons.length === 0 ? undefined : reasons.join('; ');
}

/** The verdict's sentence in its parts: `F-017 build 2 run 3`, `FAIL`, and what follows the verdict with its punctuation. */
export interface VerdictParts {
  readonly name: string;
  readonly word: string;
  readonly rest: string;
}

export function verdictParts(result: JudgedResult): VerdictParts {
  const name = resultName(result);
  const word = verdictWord(result.verdict, result.spec?.purpose);
  return { name, word, rest: verdictSentence(result).slice(name.length + 1 + word.length) };
}

export interface Advice {
  /** What to do. */
  readonly next: string;
  /** Usual causes, and what the finding cannot tell. */
  readonly background: string;
}

/** Parts what to do from the background that the catalogue adds to it. */
export function adviceOf(finding: Finding): Advice {
  const own = RULES.get(finding.rule)?.next;
  if (own === undefined || !finding.next.startsWith(`${own} `)) return { next: finding.next, background: '' };
  return { next: own, background: finding.next.slice(own.length + 1) };
}

/** What to do next, once each, the weightiest first; waived findings ask for nothing. */
export function nextSteps(findings: readonly Finding[]): readonly string[] {
  const asking = findings.filter((finding) => finding.waived === undefined && finding.next !== '');
  return [...new Set(asking.map((finding) => adviceOf(finding).next))];
}

/** Results of one unit and build that differ in their file alone, by file: their names need it. */
export function namesNeedingFiles(results: readonly JudgedResult[]): ReadonlySet<string> {
  return filesSharingNames(results.map((result) => ({ file: result.file, name: resultName(result) })));
}

/** Files whose name another one bears as well. */
export function filesSharingNames(
  results: readonly { readonly file: string; readonly name: string | number }[],
): ReadonlySet<string> {
  const first = new Map<string | number, string>();
  const alike = new Set<string>();
  for (const { name, file } of results) {
    const other = first.get(name);
    if (other === undefined) first.set(name, file);
    else alike.add(other).add(file);
  }
  return alike;
}

/** Findings that belong to no result: unreadable files, specs, mappings. */
export function findingsOfFiles(outcome: ReviewOutcome): readonly Finding[] {
  const told = new Set<Finding>();
  for (const { findings } of outcome.results) for (const finding of findings) told.add(finding);
  const left = outcome.findings.filter((finding) => !told.has(finding));
  if (left.length === 0) return left;
  // One that a result tells as well is the result's; few have a message in common, so that names are made of those alone.
  const messages = new Set(left.map(({ message }) => message));
  const twins = new Set<string>();
  for (const finding of told) if (messages.has(finding.message)) twins.add(nameOfFinding(finding));
  return twins.size === 0 ? left : left.filter((finding) => !twins.has(nameOfFinding(finding)));
}

export const VERDICTS: readonly Verdict[] = ['fail', 'undecided', 'pass'];

/** `5 results: 2 fail, 2 undecided, 1 pass. 4 errors, 2 warnings, 1 note, 1 waived.` */
export function summarySentences(
  results: readonly { readonly verdict: Verdict }[],
  counts: FindingCounts,
): readonly string[] {
  const verdicts = VERDICTS.map((verdict) => [results.filter((r) => r.verdict === verdict).length, verdict] as const);
  const parts = verdicts.filter(([count]) => count > 0).map(([count, verdict]) => `${count} ${verdict}`);
  const told =
    results.length === 0
      ? 'Nothing was judged: no result (NAME.result.csv) and no test log (NAME.testlog.csv, or mapped in damper-review.yaml) lies there.'
      : `${countText(results.length, 'result')}: ${parts.join(', ')}.`;
  return [told, ...countSentence(counts)];
}

/** `4 errors, 2 warnings, 1 note, 1 waived.`, or nothing where there is no finding. */
export function countedFindings(findings: readonly Pick<Finding, 'level' | 'waived'>[]): readonly string[] {
  return countSentence(countsOf(findings));
}

function countSentence(counts: FindingCounts): readonly string[] {
  const levels = (['error', 'warning', 'note'] as const)
    .filter((level) => counts[level] > 0)
    .map((level) => countText(counts[level], level));
  const parts = [...levels, ...(counts.waived > 0 ? [`${counts.waived} waived`] : [])];
  return parts.length === 0 ? [] : [`${parts.join(', ')}.`];
}

/** `waived until 2026-06-30 by workshop lead: New seals, run in first`. */
export function waiverText(finding: Finding): string | undefined {
  return finding.waived && `waived until ${finding.waived.until} by ${finding.waived.by}: ${finding.waived.reason}`;
}

/** What a pass does not say; stands beside every pass. */
export const PASS_CAUTION =
  'A pass concerns the measured curves alone: rod, mounts, welds, seals and gas retention were not examined.';
export const GAS_CAUTION =
  "A damper holds gas under high pressure, nitrogen only: vent it by the maker's procedure before loosening anything.";
