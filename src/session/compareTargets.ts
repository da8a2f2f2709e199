import type { ForceTable } from '../files/forceTable';
import { recogniseFile } from '../files/recognise';
import type { Spec } from '../files/spec';
import { compareRuns, specKeyChanges } from '../review/compareRuns';
import type { ComparedRun, Comparison } from '../review/comparison';
import type { RunToRun } from '../review/runToRun';
import { comparedRun } from './comparedRun';
import { entryOf, entryText, placeOfEntry, runKeyOf } from './entryQueries';
import { problemsInRun } from './fileProblems';
import { flatKeys } from './flatKeys';
import { byDate, byText } from './logGroups';
import type { SessionRun } from './reviewSession';
import { runKeyText } from './runQueries';
import { SessionFault } from './sessionFault';

/** One side of a comparison, as one state of the repository has it. */
export interface Target {
  readonly run: ComparedRun;
  readonly spec: Spec | undefined;
  /** What repeats say of its spec in that state. */
  readonly runToRun: RunToRun | undefined;
}

/** Resolves both sides and compares b against a. */
export async function compareTargets(run: SessionRun, a: string, b: string): Promise<Comparison> {
  return comparisonOf(await targetOf(run, a), await targetOf(run, b));
}

/** Both may be of different states of the repository, and one spec then says different things. */
export function comparisonOf(first: Target, second: Target): Comparison {
  const changes =
    first.spec === undefined || second.spec === undefined || first.spec === second.spec
      ? []
      : specKeyChanges(flatKeys(first.spec), flatKeys(second.spec));
  return compareRuns(first.run, second.run, { specChanges: changes, runToRun: second.runToRun ?? first.runToRun });
}

/** A path that exists wins over `SERIAL/BUILD`. */
export async function targetOf(run: SessionRun, name: string): Promise<Target> {
  const path = await run.work.resolve(name);
  if (run.work.has(path)) return fileTarget(run, name, path);
  const below = run.work.paths().some((one) => one.startsWith(`${path}/`));
  if (below) return folderTarget(run, name, path);
  const build = await buildTarget(run, name);
  if (build !== undefined) return build;
  throw new SessionFault(
    `"${name}" is no file of the repository, and no result or log is of such a SERIAL/BUILD.`,
    await knownBuilds(run),
  );
}

async function fileTarget(run: SessionRun, name: string, path: string): Promise<Target> {
  const kind = recogniseFile(path, { logs: await run.read.get(run.queries.files.mappings, '') });
  if (kind === 'result' || kind === 'reference') {
    const table = await run.read.get(run.queries.files.tableMeaning, path);
    if (table === undefined) throw await unreadable(run, path);
    return tableTarget(run, name, path, table);
  }
  if (kind !== 'testLog')
    throw new SessionFault(
      `"${name}" is neither a result, a reference nor a test log.`,
      'Name one of those, or SERIAL/BUILD.',
    );
  const { groups } = await run.read.get(run.queries.runs.groups, '');
  const group = groups.find(({ logs }) => logs.includes(path));
  if (group === undefined) {
    const head = await run.read.get(run.queries.logs.head, path);
    if (head.kind === 'fault') throw await unreadable(run, path);
    throw new SessionFault(
      `"${name}" is an endurance, replay or static log and gives no curve of its own.`,
      'Name a staircase or sweep log.',
    );
  }
  return runTarget(run, name, group.first);
}

/** The run of logs as they are now, whether a result is committed or not. */
async function runTarget(run: SessionRun, name: string, first: string): Promise<Target> {
  const { queries, read } = run;
  const text = entryText({ kind: 'run', first });
  const head = await read.get(queries.entries.head, text);
  const logs = await read.get(queries.entries.usableLogs, text);
  if (!logs.includes(first)) throw await unreadable(run, first);
  return tableTarget(run, name, first, await read.get(queries.runs.measured, runKeyText(runKeyOf(head, logs))));
}

async function tableTarget(run: SessionRun, label: string, file: string, table: ForceTable): Promise<Target> {
  const { queries, read } = run;
  const found = await read.get(queries.files.specOfId, table.spec);
  const spec = found.kind === 'one' ? await read.get(queries.files.specMeaning, found.path) : undefined;
  const runToRun = await read.get(queries.repeats.runToRun, spec?.file ?? table.spec);
  return { run: await read.once((below) => comparedRun(label, file, table, queries.files, below)), spec, runToRun };
}

async function entryTarget(run: SessionRun, label: string, text: string): Promise<Target> {
  const entry = entryOf(text);
  return entry.kind === 'result' ? fileTarget(run, label, entry.file) : runTarget(run, label, entry.first);
}

/** A folder that holds one result or run, such as that of a build. */
async function folderTarget(run: SessionRun, name: string, path: string): Promise<Target> {
  const inside: string[] = [];
  for (const text of await run.read.get(run.queries.entries.entries, ''))
    if (placeOfEntry(text).startsWith(`${path}/`)) inside.push(text);
  if (inside.length === 1) return entryTarget(run, name, inside[0]!);
  if (inside.length === 0)
    throw new SessionFault(`The folder "${name}" holds no result and no test log.`, await knownBuilds(run));
  throw new SessionFault(
    `The folder "${name}" holds ${inside.length} results or runs.`,
    `Name one of them: ${listed(inside.map(placeOfEntry))}.`,
  );
}

/** The latest test of a build. Several specs of one serial and build cannot be told apart by that name. */
async function buildTarget(run: SessionRun, name: string): Promise<Target | undefined> {
  const { queries, read } = run;
  const found: { readonly text: string; readonly spec: string; readonly date: string }[] = [];
  for (const text of await read.get(queries.entries.entries, '')) {
    const head = await read.get(queries.entries.head, text);
    if (head.serial !== '' && `${head.serial}/${head.build}` === name)
      found.push({ text, spec: head.specPath ?? head.spec, date: head.date });
  }
  if (found.length === 0) return undefined;
  if (new Set(found.map(({ spec }) => spec)).size > 1) {
    throw new SessionFault(
      `"${name}" was tested by several specs.`,
      `Name one of its results or logs: ${listed(found.map(({ text }) => placeOfEntry(text)))}.`,
    );
  }
  found.sort((a, b) => byDate(a.date, b.date) || byText(a.text, b.text));
  return entryTarget(run, name, found.at(-1)!.text);
}

async function unreadable(run: SessionRun, path: string): Promise<SessionFault> {
  const [problem] = await problemsInRun(run, path);
  if (problem === undefined) return new SessionFault(`"${path}" cannot be read.`, 'Check the file.');
  return new SessionFault(
    `${problem.file}:${problem.position.line}:${problem.position.column}: ${problem.message}`,
    problem.remedy,
  );
}

async function knownBuilds({ queries, read }: SessionRun): Promise<string> {
  const builds = new Set<string>();
  for (const text of await read.get(queries.entries.entries, '')) {
    const { serial, build } = await read.get(queries.entries.head, text);
    if (serial !== '') builds.add(`${serial}/${build}`);
  }
  return builds.size === 0
    ? 'Name a result or a test log.'
    : `Builds of this repository: ${listed([...builds].sort(byText))}.`;
}

const MOST_LISTED = 12;
function listed(names: readonly string[]): string {
  return names.length <= MOST_LISTED
    ? names.join(', ')
    : `${names.slice(0, MOST_LISTED).join(', ')} and ${names.length - MOST_LISTED} more`;
}
