import type { Correction } from '../review/correction';
import type { JudgedResult } from '../review/judgedResult';
import { placeOfEntry } from './entryQueries';
import { problemsInRun } from './fileProblems';
import { byDate, byText } from './logGroups';
import type { SessionRun } from './reviewSession';
import { SessionFault } from './sessionFault';

/** A judged result with what explains its drift, whether it fails or not. */
export interface CorrectedResult {
  readonly result: JudgedResult;
  readonly correction: Correction;
}

/**
 * What explains the drift of one result, named by its file, one of its logs, its folder or `SERIAL/BUILD` (the latest test then).
 * @throws SessionFault where the name stands for nothing or for several results
 */
export async function correctTarget(run: SessionRun, name: string): Promise<CorrectedResult> {
  const text = await entryNamed(run, name);
  const { queries, read } = run;
  const result = await read.get(queries.judging.placed, text);
  const correction = await read.get(queries.corrections.correction, text);
  if (result !== undefined && correction !== undefined) return { result, correction };
  const [problem] = await problemsInRun(run, placeOfEntry(text));
  throw new SessionFault(
    problem === undefined
      ? `"${name}" cannot be judged.`
      : `${problem.file}:${problem.position.line}: ${problem.message}`,
    problem?.remedy ?? 'Check its logs.',
  );
}

interface Named {
  readonly text: string;
  readonly date: string;
}

async function entryNamed(run: SessionRun, name: string): Promise<string> {
  const { queries, read, work } = run;
  const path = await work.resolve(name);
  const exact: Named[] = [];
  const inside: Named[] = [];
  const ofBuild: Named[] = [];
  const builds = new Set<string>();
  for (const text of await read.get(queries.entries.entries, '')) {
    const { logs, serial, build, date } = await read.get(queries.entries.head, text);
    const place = placeOfEntry(text);
    if (place === path || logs.includes(path)) exact.push({ text, date });
    if (place.startsWith(`${path}/`)) inside.push({ text, date });
    if (serial !== '') builds.add(`${serial}/${build}`);
    if (serial !== '' && `${serial}/${build}` === name) ofBuild.push({ text, date });
  }
  if (exact[0] !== undefined) return exact[0].text;
  if (inside.length === 1) return inside[0]!.text;
  if (inside.length > 1)
    throw new SessionFault(
      `The folder "${name}" holds ${inside.length} results or runs.`,
      `Name one of them: ${listed(inside.map(({ text }) => placeOfEntry(text)))}.`,
    );
  ofBuild.sort((a, b) => byDate(a.date, b.date) || byText(a.text, b.text));
  const latest = ofBuild.at(-1);
  if (latest !== undefined) return latest.text;
  if (work.has(path)) throw await notAResult(run, name, path);
  throw new SessionFault(
    `"${name}" is no result, test log or SERIAL/BUILD of the repository.`,
    builds.size === 0
      ? 'Name a result or a test log.'
      : `Builds of this repository: ${listed([...builds].sort(byText))}.`,
  );
}

async function notAResult(run: SessionRun, name: string, path: string): Promise<SessionFault> {
  const [problem] = await problemsInRun(run, path);
  if (problem === undefined)
    return new SessionFault(
      `"${name}" is neither a result nor a test log that gives one.`,
      'Name a result or a test log.',
    );
  return new SessionFault(
    `${problem.file}:${problem.position.line}:${problem.position.column}: ${problem.message}`,
    problem.remedy,
  );
}

const MOST_LISTED = 12;
function listed(names: readonly string[]): string {
  return names.length <= MOST_LISTED
    ? names.join(', ')
    : `${names.slice(0, MOST_LISTED).join(', ')} and ${names.length - MOST_LISTED} more`;
}
