import { AbortedError } from '../ports/abort';
import type { JudgedResult } from '../review/judgedResult';
import type { ForceTable, ResultOrigin } from '../files/forceTable';
import { recogniseFile, type FileKind } from '../files/recognise';
import type { ReviewConfig } from '../files/reviewConfig';
import type { PlacedSpec } from '../files/spec';
import { spelledKeys, yamlParts, type YamlParts } from '../files/yamlParts';
import { REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import { deepEqual } from './deepEqual';
import { entryOf, placeOfEntry, type EntryHead } from './entryQueries';
import { PLACES } from './fileQueries';
import type { MappingOfLog } from './logQueries';
import type { Reading } from './query';
import { eachOf, filesBehind } from './reviewPaths';
import type { SessionRun } from './reviewSession';
import type { SessionQueries } from './sessionQueries';

/** What is there to judge in one state of a repository, and all that judging rests on, before anything is judged. */
export interface RepositoryState {
  readonly config: ReviewConfig;
  /** damper-review.yaml as it is spelled; undefined where there is none, or none that can be read. */
  readonly configParts: YamlParts | undefined;
  /** By path, those that can be read. */
  readonly specs: ReadonlyMap<string, SpecState>;
  /** By the text of the entry. */
  readonly entries: ReadonlyMap<string, EntryState>;
  kindOf(path: string): FileKind | undefined;
}

export interface SpecState {
  readonly spec: PlacedSpec;
  /** As it is spelled. */
  readonly parts: YamlParts;
  /** The curves that it names, where they are there and can be read. */
  readonly reference?: ForceTable;
}

export interface EntryState {
  readonly text: string;
  /** The result, or the first log. */
  readonly file: string;
  readonly head: EntryHead;
  /** Whether it is a committed result. */
  readonly isResult: boolean;
  /** Id of the bench that it was measured on, as the result says, else its logs. */
  readonly bench?: string;
  /** How it was made: of a committed result that differs between the states. */
  readonly origin?: ResultOrigin;
  /** Whether its result or its log declares it a retest. */
  readonly retest: boolean;
  /** Every file that it rests on, present or not. */
  readonly files: readonly string[];
  /** What else it rests on: how its logs are read, the bench, rules and waivers; where that may differ between the states at all. */
  readonly around?: unknown;
}

/**
 * Reads a state. Of results and logs that do not differ between the states, what they are of is looked at and nothing more.
 * @param changed paths of files whose content differs
 */
export async function readState(run: SessionRun, changed: ReadonlySet<string>): Promise<RepositoryState> {
  const { queries, read } = run;
  const { config } = await read.get(queries.files.config, '');
  const entries = new Map<string, EntryState>();
  const isAroundChanged = [...changed].some((path) => path === REVIEW_CONFIG_PATH || /-metadata\.json$/iu.test(path));
  for (const text of await read.get(queries.entries.entries, '')) {
    const state = await entryState(run, text, changed);
    entries.set(text, isAroundChanged ? { ...state, around: await around(run, state) } : state);
  }
  const specs = new Map<string, SpecState>();
  for (const path of await read.get(queries.files.ofKind, 'spec')) {
    const state = await specState(run, path);
    if (state !== undefined) specs.set(path, state);
  }
  const configParts = await partsOf(run, REVIEW_CONFIG_PATH);
  return { config, configParts, specs, entries, kindOf: (path) => recogniseFile(path, config) };
}

/** Whether an entry could be judged otherwise in the two states. @param changed paths of files whose content differs */
export function isConcerned(
  before: EntryState | undefined,
  after: EntryState | undefined,
  changed: ReadonlySet<string>,
): boolean {
  if (before === undefined || after === undefined) return true;
  if ([...before.files, ...after.files].some((file) => changed.has(file))) return true;
  return !deepEqual(before.around, after.around, PLACES) || !deepEqual(before.head, after.head);
}

/** Every value below some top-level keys of a spec or of damper-review.yaml, as the file spells it. */
export function spelled(parts: YamlParts | undefined, keys: (key: string) => boolean): ReadonlyMap<string, string> {
  return parts === undefined ? new Map() : spelledKeys(parts, keys);
}

/** The curves that some specs name, as this state has them. */
export async function referencesOf(
  run: SessionRun,
  specPaths: readonly string[],
): Promise<ReadonlyMap<string, ForceTable>> {
  const found = new Map<string, ForceTable>();
  for (const path of specPaths) {
    const table = await referenceTable(run, (await run.read.get(run.queries.files.specMeaning, path))?.reference);
    if (table !== undefined) found.set(path, table);
  }
  return found;
}

async function specState(run: SessionRun, path: string): Promise<SpecState | undefined> {
  const { spec } = await run.read.get(run.queries.files.spec, path);
  const parts = await partsOf(run, path);
  if (spec === undefined || parts === undefined) return undefined;
  const reference = await referenceTable(run, spec.reference);
  return { spec, parts, ...(reference !== undefined && { reference }) };
}

async function referenceTable(
  { queries, read }: SessionRun,
  path: string | undefined,
): Promise<ForceTable | undefined> {
  if (path === undefined || !(await read.get(queries.files.present, path))) return undefined;
  return (await read.get(queries.files.table, path)).table;
}

async function partsOf({ queries, read }: SessionRun, path: string): Promise<YamlParts | undefined> {
  if (!(await read.get(queries.files.present, path))) return undefined;
  const text = await read.get(queries.files.text, path);
  return text.kind === 'fault' ? undefined : yamlParts(path, text.bytes);
}

/** One promise an entry: one for each thing that is looked at took 5 ms more of the 170 entries of a branch. */
function entryState({ queries, read }: SessionRun, text: string, changed: ReadonlySet<string>): Promise<EntryState> {
  return read.once((below) => entryStateNow(queries, text, changed, below));
}

function entryStateNow(queries: SessionQueries, text: string, changed: ReadonlySet<string>, read: Reading): EntryState {
  const entry = entryOf(text);
  const file = placeOfEntry(text);
  const head = read.get(queries.entries.head, text);
  const isResult = entry.kind === 'result';
  const stated = isResult ? read.get(queries.identities.ofTable, file) : null;
  let retest = stated?.retest !== undefined;
  let bench = stated?.bench;
  for (const log of head.logs) {
    if (!read.get(queries.files.present, log)) continue;
    const ofLog = read.get(queries.identities.ofLog, log);
    bench ??= ofLog?.bench;
    retest ||= ofLog?.retest !== undefined;
  }
  const origin = isResult && changed.has(file) ? read.get(queries.files.tableMeaning, file)?.result : undefined;
  const files = filesBehind(queries, text, read);
  return {
    ...{ text, file, head, isResult, retest, files },
    ...(bench !== undefined && { bench }),
    ...(origin !== undefined && { origin }),
  };
}

async function around({ queries, read }: SessionRun, { head, files, bench }: EntryState): Promise<unknown> {
  const mappings = [];
  for (const log of head.logs)
    if (await read.get(queries.files.present, log)) mappings.push(readingOf(await read.get(queries.logs.mapping, log)));
  return {
    mappings,
    bench: bench === undefined ? undefined : await read.get(queries.files.bench, bench),
    rules: await read.get(queries.judging.rulesFor, JSON.stringify([...files, REVIEW_CONFIG_PATH])),
  };
}

const NONE: ReadonlySet<string> = new Set();

/** How a log is read, wherever the mapping stands. */
function readingOf(claim: MappingOfLog): unknown {
  return claim.kind === 'mapped' ? { ...claim.mapping, file: undefined, keyPath: undefined } : claim;
}

/** What is asked of a result that is held against another state of it. */
export type JudgedVerdict = Pick<JudgedResult, 'verdict' | 'table'>;

/** As `judgeEntries`, of each entry its verdict and what it measured. */
export async function verdictsOf(
  run: SessionRun,
  texts: readonly string[],
): Promise<ReadonlyMap<string, JudgedVerdict>> {
  const { queries, read } = run;
  return judgeBy(run, texts, (text) =>
    read.once((below) => {
      const verdict = below.get(queries.judging.verdict, text);
      if (verdict === undefined) return undefined;
      const entry = entryOf(text);
      const table =
        entry.kind === 'result' ? below.get(queries.files.table, entry.file).table : queries.entries.table(text, below);
      return table && { verdict, table };
    }),
  );
}

/** Judges entries as far as this state has them; one that cannot be judged is left out, `reviewEntries` says why. */
export async function judgeEntries(
  run: SessionRun,
  texts: readonly string[],
): Promise<ReadonlyMap<string, JudgedResult>> {
  return judgeBy(run, texts, (text) => run.read.get(run.queries.judging.placed, text));
}

async function judgeBy<Judged>(
  run: SessionRun,
  texts: readonly string[],
  judge: (text: string) => Promise<Judged | undefined>,
): Promise<ReadonlyMap<string, Judged>> {
  const here = new Set(await run.read.get(run.queries.entries.entries, ''));
  const judged = new Map<string, Judged>();
  await eachOf(
    run,
    texts.filter((text) => here.has(text)),
    'Judging',
    async (text) => {
      const result = await judge(text).catch((error: unknown) => {
        if (error instanceof AbortedError) throw error;
        return undefined;
      });
      if (result !== undefined) judged.set(text, result);
    },
  );
  return judged;
}

/** Entries that are a file, or rest on it as a log. */
export async function entriesOfFile(run: SessionRun, path: string): Promise<readonly EntryState[]> {
  const found: EntryState[] = [];
  for (const text of await run.read.get(run.queries.entries.entries, '')) {
    const { logs } = await run.read.get(run.queries.entries.head, text);
    if (placeOfEntry(text) === path || logs.includes(path)) found.push(await entryState(run, text, NONE));
  }
  return found;
}

/** What each path is, by this state's damper-review.yaml. */
export async function kindsOf({ queries, read }: SessionRun): Promise<RepositoryState['kindOf']> {
  const { config } = await read.get(queries.files.config, '');
  return (path) => recogniseFile(path, config);
}

export function todayOf({ queries, read }: SessionRun): Promise<string> {
  return read.get(queries.judging.today, '');
}
