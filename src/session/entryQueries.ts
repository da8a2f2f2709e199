import type { ForceTable } from '../files/forceTable';
import { deepEqual } from './deepEqual';
import type { FileQueries } from './fileQueries';
import type { IdentityQueries, Stated } from './identityQueries';
import { byDate, byText, type LogGroup } from './logGroups';
import type { LogQueries } from './logQueries';
import { defineLookup, defineQuery, IN_JSON, type Reading } from './query';
import { runKeyText, type RunKey, type RunQueries } from './runQueries';

/** Something that is judged: a committed result, or a run of logs that no result names. Its text is the key of the queries. */
export type Entry =
  { readonly kind: 'result'; readonly file: string } | { readonly kind: 'run'; readonly first: string };

export function entryText(entry: Entry): string {
  return entry.kind === 'result' ? `result ${entry.file}` : `run ${entry.first}`;
}

export function entryOf(text: string): Entry {
  const at = text.indexOf(' ');
  const path = text.slice(at + 1);
  return text.startsWith('result ') ? { kind: 'result', file: path } : { kind: 'run', first: path };
}

/** The result file, or the first log. */
export function placeOfEntry(text: string): string {
  return text.slice(text.indexOf(' ') + 1);
}

/** What is known of an entry before it is judged. */
export interface EntryHead {
  /** Whether it is a committed result. */
  readonly isResult: boolean;
  /** The result file, or the first log: the very text that others ask for it by, as a text cut out anew is looked up more slowly. */
  readonly place: string;
  /** As its result or logs state it. */
  readonly spec: string;
  /** Path of the spec, where exactly one bears the id. */
  readonly specPath?: string;
  readonly serial: string;
  readonly build: string;
  readonly date: string;
  readonly run: number;
  readonly bench?: string;
  /** Whether the damper stayed mounted since the run before. */
  readonly sameMounting?: boolean;
  /** The one setting of it, as text; 'several' for a sweep. */
  readonly setting: string;
  /** The logs behind it, in their order: those of the run, or those that the result names, present or not. */
  readonly logs: readonly string[];
}

type EntryHeadDraft = { -readonly [Key in keyof EntryHead]: EntryHead[Key] };

const NOTHING_STATED: Stated = { setting: 'several' };

/** Queries that find what there is to judge. */
export class EntryQueries {
  readonly #files: FileQueries;
  readonly #logs: LogQueries;
  readonly #runs: RunQueries;
  readonly #identities: IdentityQueries;

  constructor(files: FileQueries, logs: LogQueries, runs: RunQueries, identities: IdentityQueries) {
    this.#files = files;
    this.#logs = logs;
    this.#runs = runs;
    this.#identities = identities;
  }

  readonly #groupIndex = defineQuery<{
    readonly byLog: ReadonlyMap<string, LogGroup>;
    readonly byFirst: ReadonlyMap<string, LogGroup>;
  }>('groups by log', (_, read) => {
    const { groups } = read.get(this.#runs.groups, '');
    return {
      byLog: new Map(groups.flatMap((group) => group.logs.map((log) => [log, group]))),
      byFirst: new Map(groups.map((group) => [group.first, group])),
    };
  });

  readonly groupOfLog = defineLookup('group of log', this.#groupIndex, ({ byLog }, path) => byLog.get(path), {
    same: deepEqual,
    ...IN_JSON,
  });

  readonly groupByFirst = defineLookup('group', this.#groupIndex, ({ byFirst }, first) => byFirst.get(first), {
    same: deepEqual,
    ...IN_JSON,
  });

  /** Every result that can be read, and every run of which no log is named by a result. */
  readonly entries = defineQuery<readonly string[]>(
    'entries',
    (_, read) => {
      // First what may have to be waited for: all of this begins anew each time.
      const { groups } = read.get(this.#runs.groups, '');
      const entries: Entry[] = [];
      const claimed = new Set<string>();
      const results = read.get(this.#files.ofKind, 'result');
      read.all(this.#identities.ofTable, results).forEach((stated, i) => {
        if (stated === null) return;
        entries.push({ kind: 'result', file: results[i]! });
        for (const { path } of stated.sources) claimed.add(path);
      });
      for (const { first, logs } of groups) {
        if (!logs.some((log) => claimed.has(log))) entries.push({ kind: 'run', first });
      }
      return entries.map(entryText);
    },
    { same: deepEqual, gate: true, ...IN_JSON },
  );

  readonly head = defineQuery<EntryHead>(
    'entry',
    (text, read) => {
      const entry = entryOf(text);
      if (entry.kind === 'result') {
        const stated = read.get(this.#identities.ofTable, entry.file);
        const logs = (stated?.sources ?? []).map(({ path }) => path);
        return this.#headOf(entry, stated, logs, read);
      }
      const group = read.get(this.groupByFirst, entry.first);
      const logs = [...(group?.logs ?? []), ...(group?.statics ?? [])];
      return this.#headOf(entry, read.get(this.#identities.ofLog, entry.first), logs, read);
    },
    { same: deepEqual },
  );

  /** Key by key: parts spread into one another took longer than reading the table of an entry. */
  #headOf(entry: Entry, stated: Stated | null, logs: readonly string[], read: Reading): EntryHead {
    const {
      spec,
      serial = '',
      build = '',
      date = '',
      run = 1,
      setting,
      bench,
      sameMounting,
    } = stated ?? NOTHING_STATED;
    const found = spec === undefined ? undefined : read.get(this.#files.specOfId, spec);
    const isResult = entry.kind === 'result';
    const place = isResult ? entry.file : entry.first;
    const head: EntryHeadDraft = { isResult, place, spec: spec ?? '', serial, build, date, run, setting, logs };
    if (found?.kind === 'one') head.specPath = found.path;
    if (bench !== undefined) head.bench = bench;
    if (sameMounting !== undefined) head.sameMounting = sameMounting;
    return head;
  }

  /** The logs of an entry that are there and can be read; all of them or, for a result with any missing, none. */
  readonly usableLogs = defineQuery<readonly string[]>(
    'usable logs',
    (text, read) => this.usableNow(read.get(this.head, text), read),
    {
      same: deepEqual,
    },
  );

  /** As `usableLogs`, for a query that goes on to read these logs. */
  usableNow({ isResult, logs }: EntryHead, read: Reading): readonly string[] {
    const usable = logs.filter(
      (log) => read.get(this.#files.present, log) && this.#logs.report(log, read).kind === 'read',
    );
    return isResult && usable.length < logs.length ? [] : usable;
  }

  /** What an entry measured: the committed table, else that of its logs. Undefined where there is no log with points that can be read. */
  table(text: string, read: Reading): ForceTable | undefined {
    const head = read.get(this.head, text);
    if (head.isResult) return read.get(this.#files.tableMeaning, head.place);
    const logs = read.get(this.usableLogs, text);
    if (!this.#hasPoints(logs, read)) return undefined;
    return read.get(this.#runs.measured, runKeyText(runKeyOf(head, logs)));
  }

  #hasPoints(logs: readonly string[], read: Reading): boolean {
    for (const log of logs) {
      const stated = read.get(this.#identities.ofLog, log);
      if (stated !== null && stated.kind !== 'static') return true;
    }
    return false;
  }

  /** For each entry, which test of its build, run and setting it is, from 1 in the order of dates. */
  readonly attempts = defineQuery<ReadonlyMap<string, number>>(
    'attempts',
    (_, read) => {
      const tests = new Map<string, { readonly text: string; readonly date: string }[]>();
      const entries = read.get(this.entries, '');
      read.all(this.head, entries).forEach((head, i) => {
        const text = entries[i]!;
        const named = head.serial !== '' && head.build !== '';
        const key = named
          ? JSON.stringify([head.specPath ?? head.spec, head.serial, head.build, head.run, head.setting])
          : text;
        const ofBuild = tests.get(key);
        if (ofBuild === undefined) tests.set(key, [{ text, date: head.date }]);
        else ofBuild.push({ text, date: head.date });
      });
      const attempts = new Map<string, number>();
      for (const ofBuild of tests.values()) {
        if (ofBuild.length > 1) ofBuild.sort((a, b) => byDate(a.date, b.date) || byText(a.text, b.text));
        ofBuild.forEach(({ text }, i) => attempts.set(text, i + 1));
      }
      return attempts;
    },
    { same: deepEqual, gate: true },
  );

  readonly attempt = defineLookup('attempt', this.attempts, (attempts, text) => attempts.get(text) ?? 1, IN_JSON);
}

export function runKeyOf({ specPath }: EntryHead, logs: readonly string[]): RunKey {
  return specPath === undefined ? { logs } : { logs, spec: specPath };
}
