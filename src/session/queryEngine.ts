import { AbortedError, throwIfAborted, type AbortSignalLike } from '../ports/abort';
import type { Cell } from './cell';
import { CellValues } from './cellValues';
import { ChangeMarks } from './changeMarks';
import { Frame } from './frame';
import { KeptCells } from './keptCells';
import type { KeptDocument } from './keptDocument';
import type { KeptGraph } from './keptGraph';
import { Pause, type Query, type Reader, type Reading, type Touch } from './query';

/**
 * Memoised queries with dependency tracking: a change is pushed as a mark along the readers, so that what is not concerned
 * costs nothing; a marked value is computed again only when something it read has really changed. Runs follow one another,
 * and inputs change between them alone: within a run everything is of one state of the repository.
 */
export class QueryEngine {
  readonly #kept: KeptCells;
  readonly #values: CellValues;
  readonly #marks = new ChangeMarks();
  #lastRun: Promise<unknown> = Promise.resolve();

  /** @param named queries whose values kept values may rest on */
  constructor(named: readonly Query<unknown>[] = [], largeLimit?: number) {
    this.#kept = new KeptCells(named);
    this.#values = new CellValues(this.#kept, largeLimit);
  }

  /** Computations since the engine was made, by query. */
  counts(): Record<string, number> {
    const all = [...this.#values.byQuery.values()].flatMap(({ query: { name }, computed, dropped, kept }) => [
      [name, computed] as const,
      [`${name} (dropped)`, dropped] as const,
      [`${name} (kept)`, kept] as const,
    ]);
    return Object.fromEntries(all.filter(([, count]) => count > 0).sort(([a], [b]) => (a < b ? -1 : 1)));
  }

  /** Takes over values that an earlier process has kept, in the first run; each is used only while what it rests on is as it was. */
  takeKept(graph: KeptGraph): void {
    if (this.#values.run === 0) this.#kept.take(graph);
  }

  /** Computed values of kept queries since the last call: nothing is new to keep where there are none. */
  takeKeptNews(): number {
    const news = this.#values.keptNews;
    this.#values.keptNews = 0;
    return news;
  }

  /**
   * All values of kept queries with what they rest on, within a run; only what is other than was taken over, where that is little.
   * @param carry whether values that were taken over and that nothing asked for go along
   */
  keep(carry: boolean): KeptDocument {
    return this.#kept.document([...this.#values.byQuery.values()], carry);
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
      const values = this.#values;
      if (values.run > 0) values.link();
      values.run += 1;
      for (const cell of values.notFinal) this.#marks.forget(cell);
      values.notFinal.clear();
      await before((query, key) => {
        const cell = values.known(query, key);
        if (cell !== undefined) this.#marks.forget(cell);
      });
      try {
        const reader = this.#reader(signal);
        await this.#settleGates(signal);
        // From the second run on, what was taken over is brought up to date like everything else.
        if (values.run === 1) await this.#kept.settle((query, key) => reader.get(query, key));
        return await work(reader);
      } finally {
        // Branches of a failed or aborted run may still be under way; the next run must not meet them.
        while (values.inFlight.size > 0) await Promise.all(values.inFlight);
        values.endRun();
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
        await this.#once(signal, (frame) => {
          this.#values.bringUpToDate(gate, frame, false);
        });
        this.#marks.settle(gate, gate.version !== seen);
      } catch (error) {
        if (error instanceof AbortedError) throw error;
        this.#marks.settle(gate, true); // whoever reads it meets the error
      }
    }
  }

  #reader(signal: AbortSignalLike | undefined): Reader {
    return {
      signal,
      get: (query, key) => this.#once(signal, (frame) => frame.get(query, key)),
      ready: <Value>(query: Query<Value>, key: string) => {
        const cell = this.#values.cell(query, key);
        if (!isThere(cell)) this.#values.takeOver(cell);
        return isThere(cell) ? (cell.value as Value) : undefined;
      },
      rows: () => this.#kept.rows,
      findRows: (query, keys) => this.#values.findRows(query, keys),
      once: (compute: (read: Reading) => never) => this.#once(signal, compute),
    };
  }

  /** Computes, and begins anew as often as something had to be waited for. @throws AbortedError; what the computation throws */
  async #once<Value>(signal: AbortSignalLike | undefined, compute: (frame: Frame) => Value): Promise<Value> {
    for (;;) {
      throwIfAborted(signal);
      try {
        return compute(new Frame(this.#values, signal, undefined, undefined));
      } catch (error) {
        if (!(error instanceof Pause)) throw error;
        await error.over;
      }
    }
  }
}

function isThere(cell: Cell): boolean {
  return cell.state === 'clean' && cell.present;
}
