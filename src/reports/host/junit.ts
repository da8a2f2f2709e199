import type { Side } from '../../analysis/side';
import { SIDES } from '../../analysis/side';
import type { Finding } from '../../review/finding';
import { isJudged } from '../../review/bands';
import type { JudgedPoint, JudgedResult, ReviewOutcome } from '../../review/judgedResult';
import { settingKey } from '../../review/referenceCurves';
import { verdictSentence } from '../../review/verdictSentence';
import { countText, percentText, settingText, speedText, unitLabel } from '../../review/wording';
import { escapeXml } from '../../text/xml';
import { findingsOfFiles } from '../resultStory';

/** One line of a test report: passed where it has no trouble. */
interface TestCase {
  readonly name: string;
  readonly trouble?: { readonly kind: 'failure' | 'error'; readonly type: string; readonly message: string };
}
interface Suite {
  readonly name: string;
  readonly package: string;
  readonly timestamp: string;
  readonly cases: readonly TestCase[];
}

/** For results that state no date: the document's schema asks for one. */
const NO_DATE = '1970-01-01T00:00:00';

/**
 * The review as a JUnit report, as build servers read it: a suite for each result, a case for each setting and side and for each further
 * error. What could not be decided is an `error`, never a pass; what is proven out is a `failure`.
 */
export function renderJunit(outcome: ReviewOutcome): string {
  const suites = [...outcome.results.map(suiteOfResult), ...suiteOfFiles(outcome)];
  const body = suites.map(suiteXml).join('');
  return `<?xml version="1.0" encoding="UTF-8"?>\n<testsuites>\n${body}</testsuites>\n`;
}

function suiteOfResult(result: JudgedResult): Suite {
  const cases = [...driftCases(result), ...errorCases(result.findings)];
  return {
    name: unitLabel(result),
    package: result.file,
    timestamp: timestampOf(result.table.result?.date),
    cases: [...cases, ...wholeCase(result, cases)],
  };
}

/** A case for each setting and side that was judged. */
function driftCases(result: JudgedResult): TestCase[] {
  const groups = new Map<string, { readonly side: Side; readonly points: JudgedPoint[] }>();
  for (const point of result.points.filter(isJudged)) {
    const key = `${settingKey(point.setting)}\n${point.side}`;
    const group = groups.get(key) ?? { side: point.side, points: [] };
    group.points.push(point);
    groups.set(key, group);
  }
  return [...groups.values()]
    .sort((a, b) => SIDES.indexOf(a.side) - SIDES.indexOf(b.side))
    .map(({ side, points }) => ({
      name: `${side} at ${settingText(points[0]!.setting)} against the reference`,
      ...troubleOf(points),
    }));
}

function troubleOf(points: readonly JudgedPoint[]): Pick<TestCase, 'trouble'> {
  const failed = points.filter((point) => point.verdict === 'fail');
  if (failed.length > 0)
    return {
      trouble: { kind: 'failure', type: 'drift-from-reference', message: `out of tolerance ${listed(failed)}` },
    };
  const open = points.filter((point) => point.verdict === 'undecided');
  if (open.length === 0) return {};
  const reason = open.find((point) => point.reason !== undefined)?.reason ?? 'too close to the limit for this test';
  return { trouble: { kind: 'error', type: 'drift-undecided', message: `not decided ${listed(open)}: ${reason}` } };
}

function listed(points: readonly JudgedPoint[]): string {
  const worst = points.reduce((a, b) => ((b.share ?? 0) > (a.share ?? 0) ? b : a));
  const share = worst.share === undefined ? '' : `, ${percentText(worst.share)} of tolerance at the worst`;
  return `in ${countText(points.length, 'point')}, such as at ${speedText(worst.velocity)}${share}`;
}

/** Errors that no point of a curve tells. */
function errorCases(findings: readonly Finding[]): TestCase[] {
  return findings
    .filter((one) => one.level === 'error' && one.waived === undefined && one.rule !== 'drift-from-reference')
    .map((one) => ({
      name: `${one.rule} at ${one.file}:${one.position.line}`,
      trouble: { kind: 'failure', type: one.rule, message: `${one.message} ${one.next}`.trim() },
    }));
}

/** Where the whole is open and no case says so, such as with planned points missing, it must not read as passed. */
function wholeCase(result: JudgedResult, cases: readonly TestCase[]): TestCase[] {
  if (result.verdict === 'pass' || cases.some((one) => one.trouble !== undefined)) return [];
  const kind = result.verdict === 'fail' ? 'failure' : 'error';
  return [{ name: 'the result as a whole', trouble: { kind, type: result.verdict, message: verdictSentence(result) } }];
}

/** Files that could not be used, and a review that judged nothing. */
function suiteOfFiles(outcome: ReviewOutcome): Suite[] {
  const cases = errorCases(findingsOfFiles(outcome));
  if (outcome.results.length === 0)
    cases.push({
      name: 'the review',
      trouble: { kind: 'error', type: 'undecided', message: 'No result and no test log was judged.' },
    });
  return cases.length === 0 ? [] : [{ name: 'files', package: '.', timestamp: NO_DATE, cases }];
}

/** Seconds, without a zone, as the schema has it. */
function timestampOf(date: string | undefined): string {
  const found = /^\d{4}-\d\d-\d\d(?:T\d\d:\d\d:\d\d)?/.exec(date ?? '')?.[0];
  if (found === undefined) return NO_DATE;
  return found.length === 10 ? `${found}T00:00:00` : found;
}

function suiteXml(suite: Suite, index: number): string {
  const count = (kind: string): number => suite.cases.filter((one) => one.trouble?.kind === kind).length;
  const attributes = [
    `name="${escapeXml(suite.name)}"`,
    `package="${escapeXml(suite.package)}"`,
    `id="${index}"`,
    `timestamp="${suite.timestamp}"`,
    'hostname="localhost"',
    `tests="${suite.cases.length}"`,
    `failures="${count('failure')}"`,
    `errors="${count('error')}"`,
    'time="0"',
  ].join(' ');
  const cases = suite.cases.map((one) => caseXml(one, suite.package)).join('');
  return `  <testsuite ${attributes}>\n    <properties/>\n${cases}    <system-out/>\n    <system-err/>\n  </testsuite>\n`;
}

function caseXml({ name, trouble }: TestCase, file: string): string {
  const head = `    <testcase name="${escapeXml(name)}" classname="${escapeXml(file)}" time="0"`;
  if (trouble === undefined) return `${head}/>\n`;
  const { kind, type, message } = trouble;
  const text = escapeXml(message);
  return `${head}>\n      <${kind} type="${escapeXml(type)}" message="${text}">${text}</${kind}>\n    </testcase>\n`;
}
