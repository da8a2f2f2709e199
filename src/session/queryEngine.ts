import { AbortedError, throwIfAborted, type AbortSignalLike } from '../ports/abort';

/** What a computation reads through; every read becomes a dependency of what is being computed. */
export interface Reader {
  readonly signal: AbortSignalLike | undefined;
  get<Value>(query: Query<Value>, key: string): Promise<Value>;
  /** The value rests on something that may heal by itself (a file that could not be read): it is computed again in the next run. */
  notFinal(): void;
}

/** A kind of value that is computed from a key and other queries, and remembered. */
export interface Query<Value> {
  readonly name: string;
  compute(key: string, reader: Reader): Promise<Value>;
  /** Early cutoff: where a new value is the same as the old one, the old one stays and nothing that read it is computed again. */
  same(old: Value, now: Value): boolean;
  /**
   * For values too large to keep them all: bytes of one, and a short text that is equal for equal values and stands for it in
   * the comparison. Such a value may be dropped at any time and is computed again when it is read.
   */
  readonly large?: { bytes(value: Value): number; fingerprint(value: Value): string };
  /**
   * For values that many others read: such a value is brought up to date before a run's own work, and what reads it is marked only where
   * it has really changed. Without that, one edit would mark the whole repository.
   */
  readonly gate: boolean;
  /** Whether the engine remembers which keys were marked, for {@link QueryEngine.takeMarked}. */
  readonly watched: boolean;
}

export function defineQuery<Value>(
  name: string,
  compute: Query<Value>['compute'],
  options: Partial<Pick<Query<Value>, 'same' | 'large' | 'gate' | 'watched'>> = {},
): Query<Value> {
  const same = options.same ?? ((old: Value, now: Value) => Object.is(old, now));
  const query = { name, compute, same, gate: options.gate ?? false, watched: options.watched ?? false };
  return options.large === undefined ? query : { ...query, large: options.large };
}

/** `unknown`: nothing read it yet, or it failed. `check`: something that it rests on may have changed. */
type CellState = 'unknown' | 'check' | 'clean';

interface Cell {
  readonly query: Query<unknown>;
  readonly key: string;
  state: CellState;
  value: unknown;
  /** False once a large value was dropped. */
  present: boolean;
  /** Counts the different values so far; 0 before the first. */
  version: number;
  fingerprint: string | undefined;
  /** What it read, in that order, and the version it saw. */
  readings: Map<Cell, number>;
  readonly readers: Set<Cell>;
  running: Promise<void> | undefined;
}

const LARGE_BYTES = 96 * 1024 * 1024;

/**
 * Memoised queries with dependency tracking: a change is pushed as a mark along the readers, so that what is not concerned
 * costs nothing; a marked value is computed again only when something it read has really changed. Runs follow one another,
 * and inputs change between them alone: within a run everything is of one state of the repository.
 */
export class QueryEngine {
  readonly #cells = new Map<Query<unknown>, Map<string, Cell>>();
  readonly #counts = new Map<string, number>();
  readonly #notFinal = new Set<Cell>();
  /** Large values present, least recently read first. */
  readonly #large = new Map<Cell, number>();
  #largeBytes = 0;
  readonly #largeLimit: number;
  /** Gates that may have changed, and the version that their readers saw. */
  readonly #gates = new Map<Cell, number>();
  readonly #marked = new Map<Query<unknown>, Set<string>>();
  readonly #inFlight = new Set<Promise<void>>();
  #lastRun: Promise<unknown> = Promise.resolve();

  constructor(largeLimit = LARGE_BYTES) {
    this.#largeLimit = largeLimit;
  }

  /** Computations since the engine was made, by query. */
  counts(): Record<string, number> {
    return Object.fromEntries([...this.#counts].sort(([a], [b]) => (a < b ? -1 : 1)));
  }

  /**
   * One run over the queries, after those before it have ended. `before` applies what changed since.
   * @throws AbortedError when the signal fires; what was finished until then is kept.
   */
  run<Result>(
    signal: AbortSignalLike | undefined,
    before: (touch: Touch) => Promise<void>,
    work: (reader: Reader) => Promise<Result>,
  ): Promise<Result> {
    const result = this.#lastRun.then(async () => {
      throwIfAborted(signal);
      for (const cell of this.#notFinal) this.#forget(cell);
      this.#notFinal.clear();
      await before((query, key) => {
        const cell = this.#cells.get(query)?.get(key);
        if (cell !== undefined) this.#forget(cell);
      });
      try {
        await this.#settleGates(signal);
        return await work(this.#reader(undefined, signal, []));
      } finally {
        // Branches of a failed or aborted run may still be under way; the next run must not meet them.
        while (this.#inFlight.size > 0) await Promise.allSettled([...this.#inFlight]);
      }
    });
    this.#lastRun = result.catch(() => undefined);
    return result;
  }

  /** Keys of a watched query whose values may be other than at the last call. */
  takeMarked(query: Query<unknown>): ReadonlySet<string> {
    const marked = this.#marked.get(query) ?? new Set<string>();
    this.#marked.delete(query);
    return marked;
  }

  /**
   * A gate may rest on values that rest on another gate, which is not up to date yet: then it is marked again when that one has changed, so
   * that the loop ends with all of them right, in whatever order.
   */
  async #settleGates(signal: AbortSignalLike | undefined): Promise<void> {
    for (let next = this.#gates.entries().next(); next.done !== true; next = this.#gates.entries().next()) {
      const [gate, seen] = next.value;
      try {
        if (gate.state !== 'clean') await this.#bringUpToDate(gate, signal, [], false);
      } catch (error) {
        if (error instanceof AbortedError) throw error;
        this.#markReaders(gate); // whoever reads it meets the error
        this.#gates.delete(gate);
        continue;
      }
      this.#gates.delete(gate);
      if (gate.version !== seen) this.#markReaders(gate);
    }
  }

  #reader(readings: Map<Cell, number> | undefined, signal: AbortSignalLike | undefined, path: readonly Cell[]): Reader {
    return {
      signal,
      get: async <Value>(query: Query<Value>, key: string): Promise<Value> => {
        const cell = this.#cell(query, key);
        if (path.includes(cell)) throw new Error(`The query ${query.name} asks for itself.`);
        while (cell.state !== 'clean' || !cell.present) await this.#bringUpToDate(cell, signal, path, true);
        readings?.set(cell, cell.version);
        const { value } = cell;
        this.#keep(cell);
        return value as Value;
      },
      notFinal: () => {
        const cell = path.at(-1);
        if (cell !== undefined) this.#notFinal.add(cell);
      },
    };
  }

  #cell(query: Query<unknown>, key: string): Cell {
    let ofQuery = this.#cells.get(query);
    if (ofQuery === undefined) this.#cells.set(query, (ofQuery = new Map<string, Cell>()));
    let cell = ofQuery.get(key);
    if (cell === undefined) {
      cell = {
        query,
        key,
        state: 'unknown',
        value: undefined,
        present: false,
        version: 0,
        fingerprint: undefined,
        readings: new Map(),
        readers: new Set(),
        running: undefined,
      };
      ofQuery.set(key, cell);
    }
    return cell;
  }

  async #bringUpToDate(
    cell: Cell,
    signal: AbortSignalLike | undefined,
    path: readonly Cell[],
    needsValue: boolean,
  ): Promise<void> {
    for (;;) {
      if (cell.running === undefined) {
        const running = this.#update(cell, signal, path, needsValue);
        cell.running = running;
        this.#inFlight.add(running);
        try {
          await running;
        } finally {
          cell.running = undefined;
          this.#inFlight.delete(running);
        }
      } else {
        await cell.running;
      }
      // Someone else may only have checked it, without bringing back a dropped value.
      if (cell.state === 'clean' && (cell.present || !needsValue)) return;
    }
  }

  async #update(
    cell: Cell,
    signal: AbortSignalLike | undefined,
    path: readonly Cell[],
    needsValue: boolean,
  ): Promise<void> {
    throwIfAborted(signal);
    const inner = [...path, cell];
    if (cell.state === 'check' && !(await this.#readingsChanged(cell, signal, inner))) cell.state = 'clean';
    if (cell.state === 'clean' && (cell.present || !needsValue)) return;
    const again = cell.state === 'clean';
    const name = again ? `${cell.query.name} (dropped)` : cell.query.name;
    this.#counts.set(name, (this.#counts.get(name) ?? 0) + 1);
    const readings = new Map<Cell, number>();
    const value = await cell.query.compute(cell.key, this.#reader(readings, signal, inner));
    this.#replaceReadings(cell, readings);
    if (!again) this.#accept(cell, value);
    cell.value = again || !cell.present ? value : cell.value;
    cell.present = true;
    cell.state = 'clean';
  }

  /** Takes a new value, unless it is the same as the old one. */
  #accept(cell: Cell, value: unknown): void {
    const fingerprint = cell.query.large?.fingerprint(value);
    const same =
      cell.version > 0 &&
      (fingerprint === undefined
        ? cell.present && cell.query.same(cell.value, value)
        : fingerprint === cell.fingerprint);
    if (same) return;
    cell.version += 1;
    cell.fingerprint = fingerprint;
    cell.present = false; // the caller puts the new value in
  }

  async #readingsChanged(cell: Cell, signal: AbortSignalLike | undefined, path: readonly Cell[]): Promise<boolean> {
    for (const [read, seen] of cell.readings) {
      if (read.state !== 'clean') await this.#bringUpToDate(read, signal, path, false);
      if (read.version !== seen) return true;
    }
    return false;
  }

  #replaceReadings(cell: Cell, readings: Map<Cell, number>): void {
    for (const read of cell.readings.keys()) if (!readings.has(read)) read.readers.delete(cell);
    for (const read of readings.keys()) read.readers.add(cell);
    cell.readings = readings;
  }

  /** Marks a cell for a new computation, and all that rests on it for a check, as far as the next gates. */
  #forget(cell: Cell): void {
    cell.state = 'unknown';
    if (!this.#isHeldBack(cell)) this.#markReaders(cell);
  }

  #markReaders(cell: Cell): void {
    const marked = [...cell.readers];
    for (let reader = marked.pop(); reader !== undefined; reader = marked.pop()) {
      if (reader.state !== 'clean') continue;
      reader.state = 'check';
      if (!this.#isHeldBack(reader)) marked.push(...reader.readers);
    }
  }

  /** Takes note of a marked cell. Whether its readers wait until it is known to have changed. */
  #isHeldBack(cell: Cell): boolean {
    const { query, key } = cell;
    if (query.watched) {
      const keys = this.#marked.get(query);
      if (keys === undefined) this.#marked.set(query, new Set([key]));
      else keys.add(key);
    }
    if (!query.gate || cell.version === 0) return false;
    if (!this.#gates.has(cell)) this.#gates.set(cell, cell.version);
    return true;
  }

  #keep(cell: Cell): void {
    const { large } = cell.query;
    if (large === undefined) return;
    this.#largeBytes -= this.#large.get(cell) ?? 0;
    this.#large.delete(cell);
    const bytes = large.bytes(cell.value);
    this.#large.set(cell, bytes);
    this.#largeBytes += bytes;
    if (this.#largeBytes <= this.#largeLimit) return;
    for (const [oldest, freed] of this.#large) {
      if (this.#largeBytes <= this.#largeLimit || oldest === cell) return;
      this.#large.delete(oldest);
      oldest.value = undefined;
      oldest.present = false;
      this.#largeBytes -= freed;
    }
  }
}

/** Says that what a query reads from the outside for this key may have changed. */
export type Touch = <Value>(query: Query<Value>, key: string) => void;
