import { AbortedError } from '../ports/abort';
import { Cell, CellsOfKey, CellsOfQuery, Failure, nextVisitor, NOTHING_READ, type Underway } from './cell';
import { Frame } from './frame';
import type { KeptCells } from './keptCells';
import { NONE } from './keptDocument';
import { dropHeavy, LargeValues } from './largeValues';
import { Pause, type Query } from './query';

/** The values of all queries: each computed at once when it is asked for, or begun and waited for. */
export class CellValues {
  readonly byQuery = new Map<Query<unknown>, CellsOfQuery>();
  readonly #byKey = new Map<string, CellsOfKey>();
  /** What the computations under way have read, each behind the one that asked for it. */
  readonly stack: Cell[] = [];
  /** Computations that are waited for. */
  readonly inFlight = new Set<Promise<void>>();
  readonly notFinal = new Set<Cell>();
  /** Computed values of kept queries. */
  keptNews = 0;
  /** Which run it is, from 1. */
  run = 0;
  readonly #kept: KeptCells;
  readonly #large: LargeValues;
  /**
   * Nothing changes within the first run, and most processes have no other: until the second one, cells do not know what read them, and what
   * was taken over does not know what it read.
   */
  #isLinked = false;

  constructor(kept: KeptCells, largeLimit: number | undefined) {
    this.#kept = kept;
    this.#large = new LargeValues(largeLimit);
  }

  /** @param near a cell that is likely to be of the same key */
  cell(query: Query<unknown>, key: string, near?: Cell): Cell {
    if (key === '') return (this.#ofQuery(query).single ??= this.#make(query, new CellsOfKey(key)));
    let at = near?.at.key === key ? near.at : this.#byKey.get(key);
    if (at === undefined) this.#byKey.set(key, (at = new CellsOfKey(key)));
    return at.find(query) ?? this.#make(query, at);
  }

  /** A cell that somebody asked for already. */
  known(query: Query<unknown>, key: string): Cell | undefined {
    return key === '' ? this.byQuery.get(query)?.single : this.#byKey.get(key)?.find(query);
  }

  #make(query: Query<unknown>, at: CellsOfKey): Cell {
    const ofQuery = this.#ofQuery(query);
    const cell = new Cell(ofQuery, at);
    at.first = cell;
    ofQuery.cells.push(cell);
    return cell;
  }

  #ofQuery(query: Query<unknown>): CellsOfQuery {
    let ofQuery = this.byQuery.get(query);
    if (ofQuery === undefined) this.byQuery.set(query, (ofQuery = new CellsOfQuery(query)));
    return ofQuery;
  }

  /** Notes that a large value was read. */
  touch(cell: Cell): void {
    this.#large.touch(cell);
  }

  /**
   * Brings a cell up to date.
   * @param needsValue whether a dropped value is needed, or only whether it changed
   * @throws Pause where something has to be waited for; what the computation throws
   */
  bringUpToDate(cell: Cell, above: Frame, needsValue: boolean): void {
    if (cell.state === 'clean' && (cell.present || !needsValue)) return;
    if (cell.underway !== undefined) this.#meet(cell, cell.underway, above);
    if (this.takeOver(cell) && cell.present) return;
    if (cell.state === 'check' && !this.#readingsChanged(cell, above)) cell.state = 'clean';
    if (cell.state === 'clean' && (cell.present || !needsValue)) return;
    const { query } = cell;
    if (query.input !== undefined) this.#take(cell, NOTHING_READ, query.input(cell.key));
    else if (query.lookup === undefined) this.#compute(cell, above);
    else {
      const index = this.cell(query.lookup.index, '');
      this.bringUpToDate(index, above, true);
      this.#take(cell, (cell.of.index ??= [index]), query.lookup.pick(index.value, cell.key));
    }
  }

  /** In the first run, takes a kept value where it still holds. */
  takeOver(cell: Cell): boolean {
    if (this.#isLinked || cell.version > 0 || !this.#kept.takeOver(cell)) return false;
    cell.of.kept += 1;
    return true;
  }

  /** In the first run, which row each key has that still holds. */
  findRows(query: Query<unknown>, keys: readonly string[]): Int32Array {
    if (this.#isLinked) return new Int32Array(keys.length).fill(NONE);
    const found = this.#kept.findRows(query, keys);
    let count = 0;
    for (let i = 0; i < found.length; i++) if (found[i] !== NONE) count++;
    this.#ofQuery(query).kept += count;
    return found;
  }

  /** After a run: nothing is under way any more. */
  endRun(): void {
    this.#large.releaseAll();
  }

  /** Before a second run: from here on a change is pushed along the readers. */
  link(): void {
    if (this.#isLinked) return;
    this.#isLinked = true;
    const all = [...this.byQuery.values()].flatMap(({ cells }) => cells);
    for (const cell of all) {
      if (cell.version === 0 || cell.versions !== undefined) continue;
      if (cell.kept === NONE) linkReadings(cell, cell.readings);
      else this.#linkKept(cell);
    }
  }

  /** Has what a value rests on know of it, when it was taken over. */
  #linkKept(cell: Cell): void {
    cell.versions = []; // what rests on many is met many times
    const reads: Cell[] = [];
    for (const node of this.#kept.below(cell)) {
      const read = this.cell(...this.#kept.queryOf(node));
      if (read.version === 0) this.#kept.takeNode(read, node);
      if (read.kept !== NONE && read.versions === undefined) this.#linkKept(read);
      reads.push(read);
    }
    linkReadings(cell, reads);
  }

  #compute(cell: Cell, above: Frame): void {
    const frame = new Frame(this, above.signal, cell, above);
    cell.final = true;
    cell.underway = 'here';
    let value: unknown;
    try {
      value = cell.query.compute(cell.at.key, frame);
    } catch (error) {
      throw this.#ended(cell, frame, error);
    } finally {
      cell.underway = undefined;
    }
    if (value instanceof Promise) throw new Pause(this.#wait(cell, frame, value));
    this.#take(cell, frame.takeReads(), value);
  }

  /** Waits for a computation. Where that has to wait itself, it begins anew when somebody asks for it once more. */
  #wait(cell: Cell, frame: Frame, value: Promise<unknown>): Promise<void> {
    frame.leaveStack();
    const end = value
      .then((now) => {
        this.#take(cell, frame.takeReads(), now);
      })
      .catch(async (error: unknown) => {
        const thrown = this.#ended(cell, frame, error);
        if (!(thrown instanceof Pause)) return new Failure(thrown, this.run);
        await thrown.over;
        return undefined;
      })
      .then((failure) => {
        cell.underway = failure ?? undefined;
        this.inFlight.delete(end);
      });
    cell.underway = end;
    this.inFlight.add(end);
    return end;
  }

  /** Takes in that a computation has ended without a value. What it read is held until it has one, lest it finds it dropped each time it begins. */
  #ended(cell: Cell, frame: Frame, error: unknown): unknown {
    const reads = frame.takeReads();
    if (error instanceof Pause) {
      this.#large.hold(cell, reads);
      return error;
    }
    this.#count(cell);
    this.#large.release(cell);
    return error;
  }

  #meet(cell: Cell, underway: NonNullable<Underway>, asking: Frame): void {
    if (underway === 'here') throw askingForItself(cell);
    if (underway instanceof Failure) {
      if (underway.run === this.run) throw underway.error;
      cell.underway = undefined;
      return;
    }
    for (let frame: Frame | undefined = asking; frame !== undefined; frame = frame.above)
      if (frame.cell === cell) throw askingForItself(cell);
    throw new Pause(underway);
  }

  #readingsChanged(cell: Cell, above: Frame): boolean {
    const { readings, versions } = cell;
    cell.underway = 'here';
    try {
      for (let i = 0; i < readings.length; i++) {
        const read = readings[i]!;
        if (read.state !== 'clean') this.bringUpToDate(read, above, false);
        if (read.version !== versions?.[i]) return true;
      }
      return false;
    } catch (error) {
      if (error instanceof Pause || error instanceof AbortedError) throw error;
      return true; // it is met again where it is read
    } finally {
      cell.underway = undefined;
    }
  }

  #take(cell: Cell, reads: readonly Cell[], value: unknown): void {
    this.#count(cell);
    const isAgain = cell.state === 'clean';
    this.#replaceReadings(cell, reads);
    if (isAgain || !isSame(cell, value)) cell.value = value;
    cell.state = 'clean';
    if (!cell.final) this.notFinal.add(cell);
    this.#large.release(cell);
    if (cell.query.kept && !this.#isLinked) dropHeavy(cell);
  }

  #count(cell: Cell): void {
    if (cell.state === 'clean') cell.of.dropped += 1;
    else cell.of.computed += 1;
    if (cell.query.kept) this.keptNews += 1;
  }

  #replaceReadings(cell: Cell, reads: readonly Cell[]): void {
    cell.kept = NONE;
    if (!this.#isLinked) {
      cell.readings = reads;
      return;
    }
    const visitor = nextVisitor();
    for (const read of reads) read.seenBy = visitor;
    for (const read of cell.readings) if (read.seenBy !== visitor) read.deleteReader(cell);
    linkReadings(cell, reads);
  }
}

/** Whether a value is the same as the one before; if not, it counts as another. */
function isSame(cell: Cell, value: unknown): boolean {
  const { query } = cell;
  const fingerprint = query.large?.fingerprint(value);
  if (cell.version > 0)
    if (fingerprint === undefined ? cell.present && query.same(cell.value, value) : fingerprint === cell.fingerprint)
      return cell.present;
  cell.version += 1;
  cell.fingerprint = fingerprint;
  return false;
}

function linkReadings(cell: Cell, reads: readonly Cell[]): void {
  for (const read of reads) read.addReader(cell);
  cell.readings = reads;
  cell.versions = reads.map(({ version }) => version);
}

function askingForItself(cell: Cell): Error {
  return new Error(`The query ${cell.query.name} asks for itself.`);
}
