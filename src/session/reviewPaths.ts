import type { Finding } from '../review/finding';
import type { FileProblem } from '../files/problem';
import { REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import type { JudgedResult, ReviewOutcome } from '../review/judgedResult';
import { collectOutcome } from '../review/outcome';
import { throwIfAborted } from '../ports/abort';
import { entryOf, placeOfEntry } from './entryQueries';
import { listingProblems } from './fileProblems';
import { isNotUsable } from './portProblems';
import type { Query, Reading } from './query';
import type { SessionRun } from './reviewSession';
import { SessionFault } from './sessionFault';
import type { SessionQueries } from './sessionQueries';

/** Judges what lies below the paths, and all that rests on a spec or reference that is named itself. */
export async function reviewPaths(run: SessionRun, paths: readonly string[]): Promise<ReviewOutcome> {
  const scope = await scopeOf(run, paths);
  const entries = await entriesInScope(run, scope);
  const files = await filesInScope(run, scope, entries);
  return reviewEntries(run, entries, files, (problem) => scope.holds(problem.file));
}

/** Judges some entries, and says what is wrong with some files; those that are not there are passed over. */
export async function reviewEntries(
  run: SessionRun,
  entries: readonly string[],
  files: ReadonlySet<string>,
  concerns: (problem: FileProblem) => boolean,
): Promise<ReviewOutcome> {
  const { queries, read, work } = run;
  const results: JudgedResult[] = [];
  const problems: FileProblem[] = listingProblems(work).filter(concerns);
  const report = run.explain ? queries.reports.explained : queries.reports.ofEntry;
  await eachAnswer(run, report, entries, 'Judging', ({ result, problem }) => {
    if (result !== undefined) results.push(result);
    if (problem !== undefined) problems.push(problem);
  });
  const findings: Finding[] = [];
  let unreadable = problems.some(isNotUsable);
  const present = [...files].filter((file) => work.has(file));
  await eachAnswer(run, queries.reports.ofFile, present, 'Reading', (report) => {
    if (report.findings.length > 0) findings.push(...report.findings);
    unreadable ||= report.isUnusable;
  });
  const config = await read.get(queries.files.ruleConfig, '');
  const today = await read.get(queries.judging.today, '');
  return collectOutcome({ results, problems, findings, config, today, unreadable });
}

/** What lies below the paths, and what the entries rest on. */
export async function filesInScope(
  run: SessionRun,
  scope: Scope,
  entries: readonly string[],
): Promise<ReadonlySet<string>> {
  const paths = run.work.paths();
  const files = new Set([REVIEW_CONFIG_PATH, ...(scope.all ? paths : paths.filter((path) => scope.holds(path)))]);
  if (!scope.all) {
    const { queries, read } = run;
    for (const text of entries)
      for (const file of await read.once((below) => filesBehind(queries, text, below))) files.add(file);
  }
  return files;
}

/** Which paths a run is about. */
export interface Scope {
  readonly all: boolean;
  /** Whether a path is named or lies below a named one. */
  holds(path: string): boolean;
  /** Whether a path is named itself. */
  names(path: string): boolean;
}

/** @throws SessionFault for a path that is neither a file nor a folder with files */
export async function scopeOf({ work }: SessionRun, paths: readonly string[]): Promise<Scope> {
  const named = new Set<string>();
  for (const path of paths.length === 0 ? [''] : paths) named.add(path === '' ? '' : await work.resolve(path));
  const all = named.has('');
  const holds = (path: string): boolean => all || [...named].some((one) => path === one || path.startsWith(`${one}/`));
  const known = all && named.size === 1 ? [] : [...work.paths(), ...work.problems().map((problem) => problem.path)];
  for (const one of named) {
    if (one === '' || known.some((path) => path === one || path.startsWith(`${one}/`))) continue;
    throw new SessionFault(
      `"${one}" is no file of the repository, nor a folder that holds any.`,
      'Name a folder, a result or a test log.',
    );
  }
  return { all, holds, names: (path) => named.has(path) };
}

export async function entriesInScope(run: SessionRun, scope: Scope): Promise<readonly string[]> {
  const { queries, read } = run;
  const entries = await read.get(queries.entries.entries, '');
  if (scope.all) return entries;
  const chosen: string[] = [];
  for (const text of entries) {
    const entry = entryOf(text);
    const head = await read.get(queries.entries.head, text);
    const own = [entry.kind === 'result' ? entry.file : entry.first, ...head.logs];
    const basis =
      head.specPath === undefined ? [] : [head.specPath, await read.get(queries.runs.referencePath, head.specPath)];
    if (own.some((path) => scope.holds(path)) || basis.some((path) => path !== undefined && scope.names(path)))
      chosen.push(text);
  }
  return chosen;
}

/** Files whose faults concern an entry, wherever they lie. */
export function filesBehind(queries: SessionQueries, text: string, read: Reading): readonly string[] {
  const entry = entryOf(text);
  const { logs, specPath } = read.get(queries.entries.head, text);
  const files = [...logs, ...logs.map((log) => `${log}-metadata.json`)];
  if (entry.kind === 'result') files.push(entry.file);
  if (specPath === undefined) return files;
  const reference = read.get(queries.runs.referencePath, specPath);
  return reference === undefined ? [...files, specPath] : [...files, specPath, reference];
}

/** Takes each answer of a query: first those that are at hand, which of an unchanged repository is all of them, then the others as they come. */
async function eachAnswer<Value>(
  run: SessionRun,
  query: Query<Value>,
  keys: readonly string[],
  what: string,
  take: (value: Value) => void,
): Promise<void> {
  const { read } = run;
  const open: string[] = [];
  for (const key of keys) {
    const answer = read.ready(query, key);
    if (answer === undefined) open.push(key);
    else take(answer);
  }
  await eachOf(run, open, what, async (key) => {
    take(await read.get(query, key));
  });
}

/** Works through a list, a few at a time, and says how far it is. */
export async function eachOf(
  run: SessionRun,
  items: readonly string[],
  what: string,
  work: (item: string) => Promise<void>,
): Promise<void> {
  let next = 0;
  const worker = async (): Promise<void> => {
    while (next < items.length) {
      throwIfAborted(run.read.signal);
      const item = items[next]!;
      run.progress?.(`${what} ${/^(?:result|run) /u.test(item) ? placeOfEntry(item) : item}`, next / items.length);
      next += 1;
      await work(item);
    }
  };
  await Promise.all(Array.from({ length: Math.min(run.parallel, items.length) }, worker));
}
