import { AbortedError, throwIfAborted, type AbortSignalLike } from '../ports/abort';
import { Cell, Readings } from './cell';
import { ChangeMarks } from './changeMarks';
import { anchorRange, keptValue, type FoundKept, type KeptDocument } from './keptDocument';
import { KeptDraft } from './keptDraft';
import { KeptSource } from './keptSource';
import { dropHeavy, LargeValues } from './largeValues';
import type { Query, Reader, Touch } from './query';

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
  readonly #counts = new Map<string, number>();
  readonly #notFinal = new Set<Cell>();
  readonly #large: LargeValues;
  readonly #marks = new ChangeMarks();
  readonly #inFlight = new Set<Promise<void>>();
  readonly #kept: KeptSource;
  #keptNews = 0;
  /**
   * Nothing changes within the first run, and most processes have no other: until the second one, cells do not know what read them, and of
   * the anchors of what was taken over only whether they stand.
   */
  #isFirst = true;
  #hasRun = false;
  readonly #unlinked: Cell[] = [];
  #walks = 0;
  #lastRun: Promise<unknown> = Promise.resolve();

  /** @param named queries that anchors of kept values may name */
  constructor(named: Iterable<Query<unknown>> = [], largeLimit?: number) {
    this.#large = new LargeValues(largeLimit);
    this.#kept = new KeptSource(named);
  }

  /** Computations since the engine was made, by query. */
  counts(): Record<string, number> {
    return Object.fromEntries([...this.#counts].sort(([a], [b]) => (a < b ? -1 : 1)));
  }

  /** Takes over values that an earlier process has kept; each is used only while its anchors stand. */
  takeKept(document: KeptDocument): void {
    this.#kept.take(document);
  }

  /** Computed values of kept queries since the last call: nothing is new to keep where there are none. */
  takeKeptNews(): number {
    const news = this.#keptNews;
    this.#keptNews = 0;
    return news;
  }

  /** All values of kept queries, within a run. @param carry whether values that were taken over and that nothing asked for go along */
  keep(carry: boolean): KeptDocument {
    const draft = new KeptDraft();
    for (const [query, cells] of this.#cells) {
      if (!query.kept) continue;
      for (const cell of cells.values()) if (cell.state === 'clean' && cell.present) draft.addCell(cell, ++this.#walks);
    }
    if (carry) {
      const asked = new Map([...this.#cells].map(([query, cells]) => [query.name, cells]));
      this.#kept.carryInto(draft, (name, key) => asked.get(name)?.has(key) === true);
    }
    return draft.document();
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

  #reader(readings: Readings | undefined, signal: AbortSignalLike | undefined, path: Path | undefined): Reader {
    return {
      signal,
      get: async <Value>(query: Query<Value>, key: string): Promise<Value> => {
        const cell = this.#cell(query, key);
        while (!this.#isReady(cell)) {
          refuseCircle(cell, path);
          await this.#bringUpToDate(cell, signal, path, true);
        }
        readings?.add(cell);
        const { value } = cell;
        if (query.large !== undefined) this.#large.touch(cell);
        return value as Value;
      },
      notFinal: () => {
        if (path === undefined) return;
        path.cell.final = false;
        this.#notFinal.add(path.cell);
      },
    };
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
    if (cell.query.kept && cell.version === 0 && (await this.#takeOver(cell, signal, path))) return;
    const again = cell.state === 'clean';
    this.#count(again ? `${cell.query.name} (dropped)` : cell.query.name);
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

  /** Takes a kept value where every anchor still stands: looked at in their order, as an earlier one may be why a later one was asked for. */
  async #takeOver(cell: Cell, signal: AbortSignalLike | undefined, path: Path): Promise<boolean> {
    const kept = this.#kept.find(cell.query, cell.key);
    if (kept === undefined) return false;
    const { below } = kept.document;
    const { from, to } = anchorRange(kept);
    for (let at = from; at < to; at++) {
      // Most anchors are looked up at once; waiting for each all the same would take half of a second run.
      const stands = this.#stands(below[at]!) ?? (await this.#comesToStand(below[at]!, signal, path));
      if (!stands) return false;
    }
    if (this.#isFirst) this.#unlinked.push(cell);
    else if (!this.#linkKept(cell, kept)) return false;
    this.#count(`${cell.query.name} (kept)`);
    cell.kept = this.#isFirst ? kept : undefined;
    cell.version = 1;
    cell.value = keptValue(kept);
    cell.present = true;
    cell.final = true;
    cell.state = 'clean';
    return true;
  }

  #stands(anchor: number): boolean | undefined {
    return this.#kept.stands(anchor, (query, key) => {
      const cell = this.#cell(query, key);
      return this.#isReady(cell) ? cell : undefined;
    });
  }

  async #comesToStand(anchor: number, signal: AbortSignalLike | undefined, path: Path): Promise<boolean> {
    const cell = this.#cell(...this.#kept.queryOf(anchor));
    try {
      while (!this.#isReady(cell)) {
        refuseCircle(cell, path);
        await this.#bringUpToDate(cell, signal, path, true);
      }
    } catch (error) {
      if (error instanceof AbortedError) throw error;
      return false; // it is met again where it is needed
    }
    return this.#stands(anchor) === true;
  }

  /** Has the anchors of a value that was taken over know of it. @returns false where one of them cannot be looked at again */
  #linkKept(cell: Cell, kept: FoundKept): boolean {
    const readings = new Readings();
    const { from, to } = anchorRange(kept);
    for (let at = from; at < to; at++) {
      const read = this.#cell(...this.#kept.queryOf(kept.document.below[at]!));
      if (!this.#isReady(read)) return false;
      readings.add(read);
    }
    cell.kept = undefined;
    this.#link(cell, readings);
    return true;
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
    this.#kept.endFirstRun();
    const untold: Cell[] = [];
    for (const cell of this.#unlinked.splice(0)) {
      if (cell.isLinked) continue;
      if (cell.kept === undefined) this.#link(cell, cell.readings);
      else if (!this.#linkKept(cell, cell.kept)) untold.push(cell);
    }
    for (const cell of untold) this.#marks.forget(cell); // it is computed when it is asked for
  }

  /** Whether a value is there and up to date, made at once where that can be. */
  #isReady(cell: Cell): boolean {
    if (cell.state === 'clean' && cell.present) return true;
    const { query } = cell;
    if (cell.running !== undefined) return false;
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
    this.#count(query.name);
    this.#replaceReadings(cell, readings);
    this.#accept(cell, value);
    this.#putIn(cell, value);
    return true;
  }

  #count(name: string): void {
    this.#counts.set(name, (this.#counts.get(name) ?? 0) + 1);
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
    cell.kept = undefined;
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
