import { roughnessOfLoops, type AdoptedRoughness } from '../review/adoptedLoops';
import { deepEqual } from './deepEqual';
import { entryText, runKeyOf, type EntryQueries } from './entryQueries';
import type { FileQueries } from './fileQueries';
import { defineQuery } from './query';
import { runKeyText, type RunQueries } from './runQueries';

/** Queries for the tests that a reference was adopted from. */
export class AdoptedQueries {
  readonly #files: FileQueries;
  readonly #entries: EntryQueries;
  readonly #runs: RunQueries;

  constructor(files: FileQueries, entries: EntryQueries, runs: RunQueries) {
    this.#files = files;
    this.#entries = entries;
    this.#runs = runs;
  }

  /** Entries of the results and logs that a reference names in `adopted.from`, as far as they are there. */
  readonly entries = defineQuery<readonly string[]>(
    'adopted entries',
    (reference, read) => {
      const from = read.get(this.#files.tableMeaning, reference)?.adopted?.from ?? [];
      const results = new Set(read.get(this.#files.ofKind, 'result'));
      const found: string[] = [];
      for (const path of from) {
        if (results.has(path)) found.push(entryText({ kind: 'result', file: path }));
        const group = read.get(this.#entries.groupOfLog, path);
        if (group !== undefined) found.push(entryText({ kind: 'run', first: group.first }));
      }
      return [...new Set(found)];
    },
    { same: deepEqual },
  );

  /** Ripple of the loops of those tests whose logs are there. */
  readonly roughness = defineQuery<readonly AdoptedRoughness[]>(
    'adopted ripple',
    (reference, read) => {
      const found: AdoptedRoughness[] = [];
      for (const text of read.get(this.entries, reference)) {
        const logs = read.get(this.#entries.usableLogs, text);
        if (logs.length === 0) continue;
        const key = runKeyText(runKeyOf(read.get(this.#entries.head, text), logs));
        const analysis = read.get(this.#runs.analysis, key);
        found.push(...roughnessOfLoops(analysis, read.get(this.#runs.measured, key)));
      }
      return found;
    },
    { same: deepEqual },
  );
}
