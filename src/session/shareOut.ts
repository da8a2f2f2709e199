import type { AbortSignalLike } from '../ports/abort';
import { AbortedError } from '../ports/abort';
import type { Offload } from '../ports/services';
import { entryOf, placeOfEntry } from './entryQueries';
import type { KeptDocument } from './keptCells';
import type { Query } from './query';
import type { QueryEngine } from './queryEngine';
import type { SessionRun } from './reviewSession';
import type { ToldQueries } from './toldQueries';

/** What another thread is asked to compute, on the same files. Everything in it is plain data. */
export interface ShareJob {
  /** What others found, to build on. */
  readonly kept: readonly KeptDocument[];
  readonly tables: readonly string[];
  readonly logs: readonly string[];
  readonly entries: readonly string[];
  readonly files: readonly string[];
}

/** Other threads that take a share of a large review. */
export interface Sharers {
  /** One a thread. */
  readonly threads: readonly Offload<ShareJob, KeptDocument>[];
  /** Below this many results a thread costs more to start than it takes off. */
  readonly fewest: number;
  /** Lets answers of other threads come in. */
  turn(): Promise<void>;
}

/** A share of this thread is small, so that others do not wait for their next one. */
const HERE = 20;
const THERE = 100;

type Share = Omit<ShareJob, 'kept'>;
const NO_SHARE: Share = { tables: [], logs: [], entries: [], files: [] };

/** The work of one share, in whatever thread. @returns the values that it made */
export async function doShare(
  run: SessionRun,
  engine: QueryEngine,
  told: ToldQueries<unknown>,
  share: Share,
): Promise<KeptDocument> {
  const { identities } = run.queries;
  const wanted: [Query<unknown>, string][] = [
    ...share.tables.map((path): [Query<unknown>, string] => [identities.ofTable, path]),
    ...share.logs.map((path): [Query<unknown>, string] => [identities.ofLog, path]),
    ...share.entries.map((text): [Query<unknown>, string] => [told.ofEntry, text]),
    ...share.files.map((path): [Query<unknown>, string] => [told.ofFile, path]),
  ];
  const left = wanted.values();
  const worker = async (): Promise<void> => {
    for (const [query, key] of left) await run.read.get(query, key);
  };
  await Promise.all(Array.from({ length: run.parallel }, worker));
  return engine.keepThese(wanted);
}

/**
 * Computes what nothing is kept of together with other threads, where there is enough of it: first what every result and log is of, which the
 * order of tests and the repeats rest on, then what is told of each. The run that follows finds all of it; what a thread failed on, it
 * computes itself.
 */
export async function shareOut(
  run: SessionRun,
  engine: QueryEngine,
  told: ToldQueries<unknown>,
  sharers: Sharers,
): Promise<void> {
  const { queries, read } = run;
  const lacking = (query: Query<unknown>, keys: readonly string[]): readonly string[] =>
    keys.filter((key) => !engine.hasKept(query, key));
  const tables = lacking(queries.identities.ofTable, await read.get(queries.files.ofKind, 'result'));
  if (tables.length < sharers.fewest) return;
  const logs = lacking(queries.identities.ofLog, await read.get(queries.files.ofKind, 'testLog'));
  const sharing = new Sharing(run, engine, told, sharers);
  await sharing.all([
    ...chunks(tables).map((part) => ({ ...NO_SHARE, tables: part })),
    ...chunks(logs).map((part) => ({ ...NO_SHARE, logs: part })),
  ]);
  const entries = lacking(told.ofEntry, await read.get(queries.entries.entries, ''));
  if (entries.length < sharers.fewest) return;
  const shares: Share[] = [];
  for (const part of chunks(entries)) shares.push({ ...NO_SHARE, entries: part, files: await filesOf(run, part) });
  await sharing.all(shares);
}

/** The files of some entries, as whoever judges an entry has read them. */
async function filesOf({ queries, read }: SessionRun, entries: readonly string[]): Promise<readonly string[]> {
  const files = new Set<string>();
  for (const text of entries) {
    if (entryOf(text).kind === 'result') files.add(placeOfEntry(text));
    const { logs } = await read.get(queries.entries.head, text);
    for (const log of logs) if (await read.get(queries.files.present, log)) files.add(log);
  }
  return [...files];
}

class Sharing {
  readonly #run: SessionRun;
  readonly #engine: QueryEngine;
  readonly #told: ToldQueries<unknown>;
  readonly #sharers: Sharers;
  /** What this thread and others have found, which the threads that have it not are told with their next share. */
  #found: KeptDocument[] = [];

  constructor(run: SessionRun, engine: QueryEngine, told: ToldQueries<unknown>, sharers: Sharers) {
    this.#run = run;
    this.#engine = engine;
    this.#told = told;
    this.#sharers = sharers;
  }

  /** Does all shares, some of them here. */
  async all(shares: readonly Share[]): Promise<void> {
    const { signal } = this.#run.read;
    const { progress } = this.#run;
    const left = [...shares];
    const known = this.#found;
    this.#found = [];
    const there = this.#sharers.threads.map(async (thread) => {
      let kept = known;
      while (left.length > 0) {
        const share = joined(left.splice(0, THERE / HERE));
        if (!(await this.#ask(thread, { ...share, kept }, signal))) return;
        kept = [];
      }
    });
    while (left.length > 0) {
      progress?.('Judging', 1 - left.length / shares.length);
      this.#found.push(await doShare(this.#run, this.#engine, this.#told, left.pop()!));
      await this.#sharers.turn();
    }
    await Promise.all(there);
  }

  /** @returns false where the thread failed: what it was asked for is computed by whoever reads it */
  async #ask(
    thread: Offload<ShareJob, KeptDocument>,
    job: ShareJob,
    signal: AbortSignalLike | undefined,
  ): Promise<boolean> {
    try {
      const document = await thread.run(job, signal);
      this.#engine.takeKept(document);
      this.#found.push(document);
      return true;
    } catch (error) {
      if (error instanceof AbortedError) throw error;
      return false;
    }
  }
}

function chunks(items: readonly string[]): readonly (readonly string[])[] {
  return Array.from({ length: Math.ceil(items.length / HERE) }, (_, i) => items.slice(i * HERE, (i + 1) * HERE));
}

function joined(shares: readonly Share[]): Share {
  return {
    tables: shares.flatMap(({ tables }) => tables),
    logs: shares.flatMap(({ logs }) => logs),
    entries: shares.flatMap(({ entries }) => entries),
    files: shares.flatMap(({ files }) => files),
  };
}
