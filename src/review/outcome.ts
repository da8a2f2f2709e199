import { METHOD_VERSION } from '../analysis/method';
import type { FileProblem } from '../files/problem';
import type { ReviewConfig } from '../files/reviewConfig';
import { worseVerdict } from './bands';
import type { Finding } from './finding';
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

const RESULT_ORDER: Readonly<Record<Verdict, number>> = { fail: 0, undecided: 1, pass: 2 };
const LEVEL_ORDER = { error: 0, warning: 1, note: 2 } as const;

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
    results: [...results].sort(
      (a, b) => RESULT_ORDER[a.verdict] - RESULT_ORDER[b.verdict] || compareText(a.file, b.file),
    ),
    findings: inOrder(once(findings)),
    unreadable: unreadable || problems.some((problem) => problem.rule === 'unreadable'),
  };
}

/** The worst of the results; where nothing was judged, undecided. */
export function verdictOfAll(results: readonly ToldResult[]): Verdict {
  return results.length === 0 ? 'undecided' : results.map((r) => r.verdict).reduce(worseVerdict);
}

/** 0 pass, 1 fail or undecided as `failOn` says, 2 where a file could not be read, whatever `failOn` says. */
export function exitStatus(
  outcome: Pick<Outcome<ToldResult, ToldFinding>, 'verdict' | 'unreadable'>,
  failOn: FailOn,
): 0 | 1 | 2 {
  if (outcome.unreadable) return 2;
  if (failOn === 'never' || outcome.verdict === 'pass') return 0;
  return outcome.verdict === 'fail' || failOn === 'undecided' ? 1 : 0;
}

/** A fault of a reference is found by every result that uses it, and told once. */
function once<Found extends ToldFinding>(findings: readonly Found[]): Found[] {
  const kept: Found[] = [];
  // Few messages stand twice, so that names are made of those alone.
  const byMessage = new Map<string, number>();
  const byName = new Map<string, number>();
  for (const finding of findings) {
    const first = byMessage.get(finding.message);
    if (first === undefined) {
      byMessage.set(finding.message, kept.push(finding) - 1);
      continue;
    }
    const name = nameOfFinding(finding);
    const twin = name === nameOfFinding(kept[first]!) ? first : byName.get(name);
    if (twin === undefined) byName.set(name, kept.push(finding) - 1);
    // A finding that counts somewhere must not be hidden by its waived twin.
    else if (kept[twin]!.waived !== undefined && finding.waived === undefined) kept[twin] = finding;
  }
  return kept;
}

/** Equal for one finding that is found twice. */
export function nameOfFinding({ rule, file, position, message }: ToldFinding): string {
  // The file's length keeps the two texts after it apart, whatever they hold.
  return `${rule} ${position.line} ${position.column} ${file.length} ${file}${message}`;
}

/** Those that count before waived ones, then by level, file, place and rule. */
function inOrder<Found extends ToldFinding>(findings: readonly Found[]): Found[] {
  // Findings come file by file: of one level they stand in order nearly, and sorting has little left to do.
  const levels: readonly Found[][] = [[], [], [], [], [], []];
  for (const finding of findings)
    levels[(finding.waived === undefined ? 0 : 3) + LEVEL_ORDER[finding.level]]!.push(finding);
  return levels.flatMap((ofLevel) => ofLevel.sort(comparePlaces));
}

function comparePlaces(a: ToldFinding, b: ToldFinding): number {
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
