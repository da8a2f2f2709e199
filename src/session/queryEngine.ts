import { AbortedError, throwIfAborted, type AbortSignalLike } from '../ports/abort';
import { Cell, Readings } from './cell';
import { ChangeMarks } from './changeMarks';
import { KeptCells } from './keptCells';
import { NONE, type KeptDocument } from './keptDocument';
import type { KeptGraph } from './keptGraph';
import { dropHeavy, LargeValues } from './largeValues';
import type { Query, Reader, Touch } from './query';
import { QueryCounts } from './queryCounts';

/** The cells that are being computed, from the one in hand to the one that was asked for first. */
interface Path {
  readonly cell: Cell;
  readonly above: Path | undefined;
}

/**
 * Memoised queries with dependency tracking: a change is pushed as a mark along the readers, so that what is not concerned
 * costs nothing; a marked value is computed again only when something it read has really changed. Runs follow one another,
 * and inputs change between them alone: within a run everything is of one state of the repository.
 */
export class QueryEngine {
  readonly #cells = new Map<Query<unknown>, Map<string, Cell>>();
  /** How often a value of each query was computed, computed again after it was dropped, and taken over. */
  readonly #counts = { computed: new QueryCounts(), dropped: new QueryCounts(), kept: new QueryCounts() };
  readonly #notFinal = new Set<Cell>();
  readonly #large: LargeValues;
  readonly #marks = new ChangeMarks();
  readonly #inFlight = new Set<Promise<void>>();
  readonly #kept: KeptCells;
  #keptNews = 0;
  /**
   * Nothing changes within the first run, and most processes have no other: until the second one, cells do not know what read them, and what
   * was taken over does not know what it read.
   */
  #isFirst = true;
  #hasRun = false;
  readonly #unlinked: Cell[] = [];
  #lastRun: Promise<unknown> = Promise.resolve();

  /** @param named queries whose values kept values may rest on */
  constructor(named: readonly Query<unknown>[] = [], largeLimit?: number) {
    this.#large = new LargeValues(largeLimit);
    this.#kept = new KeptCells(named);
  }

  /** Computations since the engine was made, by query. */
  counts(): Record<string, number> {
    const { computed, dropped, kept } = this.#counts;
    const all = [...computed.named(''), ...dropped.named(' (dropped)'), ...kept.named(' (kept)')];
    return Object.fromEntries(all.sort(([a], [b]) => (a < b ? -1 : 1)));
  }

  /** Takes over values that an earlier process has kept, in the first run; each is used only while what it rests on is as it was. */
  takeKept(graph: KeptGraph): void {
    if (!this.#hasRun) this.#kept.take(graph);
  }

  /** Computed values of kept queries since the last call: nothing is new to keep where there are none. */
  takeKeptNews(): number {
    const news = this.#keptNews;
    this.#keptNews = 0;
    return news;
  }

  /**
   * All values of kept queries with what they rest on, within a run; only what is other than was taken over, where that is little.
   * @param carry whether values that were taken over and that nothing asked for go along
   */
  keep(carry: boolean): KeptDocument {
    return this.#kept.document(this.#cells, carry);
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
      if (this.#hasRun) this.#linkAll();
      this.#hasRun = true;
      for (const cell of this.#notFinal) this.#marks.forget(cell);
      this.#notFinal.clear();
      await before((query, key) => {
        const cell = this.#cells.get(query)?.get(key);
        if (cell !== undefined) this.#marks.forget(cell);
      });
      try {
        await this.#settleGates(signal);
        await this.#settleKept(signal);
        return await work(this.#reader(undefined, signal, undefined));
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
    return this.#marks.take(query);
  }

  /**
   * A gate may rest on values that rest on another gate, which is not up to date yet: then it is marked again when that one has changed, so
   * that the loop ends with all of them right, in whatever order.
   */
  async #settleGates(signal: AbortSignalLike | undefined): Promise<void> {
    for (let next = this.#marks.nextGate(); next !== undefined; next = this.#marks.nextGate()) {
      const [gate, seen] = next;
      try {
        if (gate.state !== 'clean') await this.#bringUpToDate(gate, signal, undefined, false);
        this.#marks.settle(gate, gate.version !== seen);
      } catch (error) {
        if (error instanceof AbortedError) throw error;
        this.#marks.settle(gate, true); // whoever reads it meets the error
      }
    }
  }

  /** Within the first run: from the second on, what was taken over is brought up to date like everything else. */
  async #settleKept(signal: AbortSignalLike | undefined): Promise<void> {
    const reader = this.#reader(undefined, signal, undefined);
    if (this.#isFirst) await this.#kept.settle((query, key) => reader.get(query, key));
  }

  #reader(readings: Readings | undefined, signal: AbortSignalLike | undefined, path: Path | undefined): Reader {
    return {
      signal,
      get: async <Value>(query: Query<Value>, key: string): Promise<Value> => {
        const cell = this.#cell(query, key);
        while (!this.#isReady(cell)) {
          refuseCircle(cell, path);
          await this.#bringUpToDate(cell, signal, path, true);
        }
        return this.#read(cell, readings) as Value;
      },
      ready: <Value>(query: Query<Value>, key: string): Value | undefined => {
        const cell = this.#cell(query, key);
        return this.#isReady(cell) ? (this.#read(cell, readings) as Value) : undefined;
      },
      notFinal: () => {
        if (path === undefined) return;
        path.cell.final = false;
        this.#notFinal.add(path.cell);
      },
    };
  }

  #read(cell: Cell, readings: Readings | undefined): unknown {
    readings?.add(cell);
    const { value } = cell;
    if (cell.query.large !== undefined) this.#large.touch(cell);
    return value;
  }

  #cell(query: Query<unknown>, key: string): Cell {
    let ofQuery = this.#cells.get(query);
    if (ofQuery === undefined) this.#cells.set(query, (ofQuery = new Map<string, Cell>()));
    let cell = ofQuery.get(key);
    if (cell === undefined) ofQuery.set(key, (cell = new Cell(query, key)));
    return cell;
  }

  async #bringUpToDate(
    cell: Cell,
    signal: AbortSignalLike | undefined,
    path: Path | undefined,
    needsValue: boolean,
  ): Promise<void> {
    for (;;) {
      if (cell.running === undefined) {
        const running = this.#update(cell, signal, { cell, above: path }, needsValue);
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

  async #update(cell: Cell, signal: AbortSignalLike | undefined, path: Path, needsValue: boolean): Promise<void> {
    throwIfAborted(signal);
    if (cell.state === 'check' && !(await this.#readingsChanged(cell, signal, path))) cell.state = 'clean';
    if (cell.state === 'clean' && (cell.present || !needsValue)) return;
    const again = cell.state === 'clean';
    (again ? this.#counts.dropped : this.#counts.computed).add(cell.query);
    if (cell.query.kept) this.#keptNews += 1;
    cell.final = true;
    const readings = new Readings();
    const value = await cell.query.compute(cell.key, this.#reader(readings, signal, path));
    this.#replaceReadings(cell, readings);
    if (again) cell.present = false;
    else this.#accept(cell, value);
    this.#putIn(cell, value);
    if (cell.query.kept && this.#isFirst) dropHeavy(cell);
  }

  /** Takes a kept value where it still holds. */
  #takeOver(cell: Cell): boolean {
    if (!this.#isFirst || cell.version > 0 || !this.#kept.takeOver(cell)) return false;
    this.#counts.kept.add(cell.query);
    this.#unlinked.push(cell);
    return true;
  }

  /** Has what a value rests on know of it, when it was taken over. */
  #linkKept(cell: Cell): void {
    cell.isLinked = true; // what rests on many is met many times
    const readings = new Readings();
    for (const node of this.#kept.below(cell)) {
      const read = this.#cell(...this.#kept.queryOf(node));
      if (read.version === 0 && !this.#isReady(read)) this.#kept.takeNode(read, node);
      if (read.kept !== NONE && !read.isLinked) this.#linkKept(read);
      readings.add(read);
    }
    this.#link(cell, readings);
  }

  #link(cell: Cell, readings: Readings): void {
    for (const read of readings.cells) read.addReader(cell);
    cell.readings = readings;
    cell.isLinked = true;
  }

  /** Before a second run: from here on a change is pushed along the readers. */
  #linkAll(): void {
    if (!this.#isFirst) return;
    this.#isFirst = false;
    for (const cell of this.#unlinked.splice(0)) {
      if (cell.isLinked) continue;
      if (cell.kept === NONE) this.#link(cell, cell.readings);
      else this.#linkKept(cell);
    }
  }

  /** Whether a value is there and up to date, made at once where that can be. */
  #isReady(cell: Cell): boolean {
    if (cell.state === 'clean' && cell.present) return true;
    const { query } = cell;
    if (cell.running !== undefined) return false;
    if (this.#takeOver(cell)) return true;
    const readings = new Readings();
    let value: unknown;
    if (query.input !== undefined) {
      value = query.input(cell.key);
    } else if (query.lookup !== undefined) {
      const index = this.#cell(query.lookup.index, '');
      if (index.state !== 'clean' || !index.present) return false;
      value = query.lookup.pick(index.value, cell.key);
      readings.add(index);
    } else {
      return false;
    }
    this.#counts.computed.add(query);
    this.#replaceReadings(cell, readings);
    this.#accept(cell, value);
    this.#putIn(cell, value);
    return true;
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

  #putIn(cell: Cell, value: unknown): void {
    if (!cell.present) cell.value = value;
    cell.present = true;
    cell.state = 'clean';
  }

  async #readingsChanged(cell: Cell, signal: AbortSignalLike | undefined, path: Path): Promise<boolean> {
    const { cells, versions } = cell.readings;
    for (const [i, read] of cells.entries()) {
      if (read.state !== 'clean') await this.#bringUpToDate(read, signal, path, false);
      if (read.version !== versions[i]) return true;
    }
    return false;
  }

  #replaceReadings(cell: Cell, readings: Readings): void {
    cell.kept = NONE;
    if (this.#isFirst) {
      cell.readings = readings;
      this.#unlinked.push(cell);
      return;
    }
    for (const read of cell.readings.cells) if (!readings.has(read)) read.deleteReader(cell);
    this.#link(cell, readings);
  }
}

function refuseCircle(cell: Cell, path: Path | undefined): void {
  for (let at = path; at !== undefined; at = at.above)
    if (at.cell === cell) throw new Error(`The query ${cell.query.name} asks for itself.`);
}
