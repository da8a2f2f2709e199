import { METHOD_VERSION } from '../analysis/method';
import type { FileProblem } from '../files/problem';
import type { ReviewConfig } from '../files/reviewConfig';
import { worseVerdict } from './bands';
import type { Finding } from './finding';
import { FindingTally, rankOf, RANKS } from './findingTally';
import type { Outcome, ToldFinding, ToldResult, Verdict } from './judgedResult';
import { problemFindings } from './problemFindings';
import { applyWaivers, expiredWaivers } from './waivers';

export interface OutcomeParts<Result extends ToldResult, OfFiles extends ToldFinding> {
  readonly results: readonly Result[];
  /** Problems of files, that no waiver was held against yet. */
  readonly problems: readonly FileProblem[];
  /** Findings that belong to no result, such as those of an endurance log, with their waivers. */
  readonly findings?: readonly OfFiles[];
  readonly config: Pick<ReviewConfig, 'file' | 'rules' | 'waivers'>;
  /** `YYYY-MM-DD` */
  readonly today: string;
  /** True where a file could not be used at all. */
  readonly unreadable: boolean;
}

export type FailOn = 'undecided' | 'fail' | 'never';

type FindingOf<Result extends ToldResult> = Result['findings'][number];

/** Puts together what one `check` found: results and findings worst first, each finding once, and the verdict of the whole. */
export function collectOutcome<Result extends ToldResult, OfFiles extends ToldFinding = Finding>(
  parts: OutcomeParts<Result, OfFiles>,
): Outcome<Result, FindingOf<Result> | OfFiles | Finding> {
  const { results, problems, config, today, unreadable } = parts;
  const ofFiles = applyWaivers(problemFindings(problems, config.rules), config.waivers, today);
  const ofResults: FindingOf<Result>[] = results.flatMap((result) => result.findings);
  const found = [...ofResults, ...ofFiles, ...(parts.findings ?? [])];
  const findings = [...found, ...expiredWaivers(config, today, found)];
  return {
    method: METHOD_VERSION,
    verdict: verdictOfAll(results),
    results: resultsInOrder(results),
    findings: inOrder(once(findings), rankOf),
    unreadable: unreadable || problems.some((problem) => problem.rule === 'unreadable'),
  };
}

/** Worst first, by file within. */
export function resultsInOrder<Result extends Pick<ToldResult, 'file' | 'verdict'>>(
  results: readonly Result[],
): Result[] {
  const byVerdict: Readonly<Record<Verdict, Result[]>> = { fail: [], undecided: [], pass: [] };
  for (const result of results) byVerdict[result.verdict].push(result);
  const byFile = (a: Result, b: Result): number => compareText(a.file, b.file);
  return [...byVerdict.fail.sort(byFile), ...byVerdict.undecided.sort(byFile), ...byVerdict.pass.sort(byFile)];
}

/** The worst of the results; where nothing was judged, undecided. */
export function verdictOfAll(results: readonly Pick<ToldResult, 'verdict'>[]): Verdict {
  return results.length === 0 ? 'undecided' : results.map((r) => r.verdict).reduce(worseVerdict);
}

/** 0 pass, 1 fail or undecided as `failOn` says, 2 where a file could not be read, whatever `failOn` says. */
export function exitStatus(
  outcome: { readonly verdict: Verdict; readonly unreadable: boolean },
  failOn: FailOn,
): 0 | 1 | 2 {
  if (outcome.unreadable) return 2;
  if (failOn === 'never' || outcome.verdict === 'pass') return 0;
  return outcome.verdict === 'fail' || failOn === 'undecided' ? 1 : 0;
}

/** A fault of a reference is found by every result that uses it, and told once. */
function once<Found extends ToldFinding>(findings: readonly Found[]): Found[] {
  const kept: Found[] = [];
  const tally = new FindingTally();
  const numbers = new Map<string, number>();
  const numberOf = (text: string): number => {
    let number = numbers.get(text);
    if (number === undefined) numbers.set(text, (number = numbers.size));
    return number;
  };
  for (const finding of findings) {
    const { rule, file, position, message } = finding;
    const { line, column } = position;
    const at = tally.add(rankOf(finding), numberOf(rule), numberOf(file), line, column, numberOf(message));
    if (at !== undefined) kept[at] = finding;
  }
  return kept;
}

/** Equal for one finding that is found twice. */
export function nameOfFinding({ rule, file, position, message }: ToldFinding): string {
  // The file's length keeps the two texts after it apart, whatever they hold.
  return `${rule} ${position.line} ${position.column} ${file.length} ${file}${message}`;
}

/** Those that count before waived ones, then by level, file, place and rule. */
export function inOrder<Found extends Placed>(findings: readonly Found[], rank: (finding: Found) => number): Found[] {
  // Findings come file by file: of one level they stand in order nearly, and sorting has little left to do.
  const ranks = Array.from({ length: RANKS }, (): Found[] => []);
  for (const finding of findings) ranks[rank(finding)]!.push(finding);
  return ranks.flatMap((ofRank) => ofRank.sort(comparePlaces));
}

/** What the order within a rank looks at. */
export type Placed = Pick<ToldFinding, 'rule' | 'file' | 'position'>;

function comparePlaces(a: Placed, b: Placed): number {
  return (
    compareText(a.file, b.file) ||
    a.position.line - b.position.line ||
    a.position.column - b.position.column ||
    compareText(a.rule, b.rule)
  );
}

/** By code unit, so that the order is the same on every machine. */
function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
