import type { ForceTable } from '../files/forceTable';
import type { Correction } from '../review/correction';
import { correctResult, hasDriftToExplain } from '../review/corrections';
import { sweepsOf } from '../review/correctionSweeps';
import type { JudgedResult } from '../review/judgedResult';
import { deepEqual } from './deepEqual';
import type { EntryQueries } from './entryQueries';
import type { FileQueries } from './fileQueries';
import type { JudgeQueries } from './judgeQueries';
import { byDate, byText } from './logGroups';
import { defineQuery, IN_JSON, type Reading } from './query';

/** So many committed sweeps are looked into: the adopted ones, then the latest. */
const MOST_SWEEPS = 8;

/** Queries for what explains a drift. They rest on verdicts and change none. */
export class CorrectionQueries {
  readonly #files: FileQueries;
  readonly #entries: EntryQueries;
  readonly #judging: JudgeQueries;

  constructor(files: FileQueries, entries: EntryQueries, judging: JudgeQueries) {
    this.#files = files;
    this.#entries = entries;
    this.#judging = judging;
  }

  /** Undefined where the entry cannot be judged. */
  readonly correction = defineQuery<Correction | undefined>(
    'correction',
    (text, read) => {
      const judged = read.get(this.#judging.judged, text);
      if (judged === undefined) return undefined;
      return correctResult(judged, this.#sweeps(text, judged, read));
    },
    { same: deepEqual, isHeavy: true },
  );

  /** The judged result at its places, with its correction where its drift calls for one and the reference allows it. */
  corrected(text: string, read: Reading): JudgedResult | undefined {
    const result = this.#judging.placedNow(text, read);
    if (result === undefined || !hasDriftToExplain(result)) return result;
    const correction = read.get(this.correction, text);
    return correction === undefined || correction.state === 'not possible' ? result : { ...result, correction };
  }

  /** Every committed sweep of a spec. @param specPath path of the spec */
  readonly sweepsOfSpec = defineQuery<readonly { readonly file: string; readonly date: string }[]>(
    'sweeps of spec',
    (specPath, read) => {
      const found: { readonly file: string; readonly date: string }[] = [];
      for (const other of read.get(this.#entries.entries, '')) {
        const { isResult, place, specPath: own, setting, date } = read.get(this.#entries.head, other);
        if (isResult && own === specPath && setting === 'several') found.push({ file: place, date });
      }
      return found;
    },
    { same: deepEqual, ...IN_JSON },
  );

  /** Committed sweeps of the same spec, where the reference holds some adjuster at one position only. */
  #sweeps(text: string, { reference, table }: JudgedResult, read: Reading): readonly ForceTable[] {
    if (reference === undefined) return [];
    const ofReference = sweepsOf(reference, []);
    if (table.adjusters.every(({ id }) => ofReference.has(id))) return [];
    const { specPath, isResult, place } = read.get(this.#entries.head, text);
    if (specPath === undefined) return [];
    const adopted = new Set(reference.adopted?.from ?? []);
    const found = read.get(this.sweepsOfSpec, specPath).filter(({ file }) => !isResult || file !== place);
    found.sort(
      (a, b) =>
        Number(adopted.has(b.file)) - Number(adopted.has(a.file)) || byDate(b.date, a.date) || byText(a.file, b.file),
    );
    const tables: ForceTable[] = [];
    for (const { file } of found.slice(0, MOST_SWEEPS)) {
      const sweep = read.get(this.#files.tableMeaning, file);
      if (sweep !== undefined) tables.push(sweep);
    }
    return tables;
  }
}
