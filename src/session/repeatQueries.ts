import type { ForceTable } from '../files/forceTable';
import { runToRunOf, type RunToRun } from '../review/runToRun';
import { deepEqual } from './deepEqual';
import type { EntryHead, EntryQueries } from './entryQueries';
import { byDate, byText } from './logGroups';
import type { FileQueries } from './fileQueries';
import { defineLookup, defineQuery, IN_JSON, type Reading } from './query';

/** Texts of entries that are complete runs of one damper, none of them rebuilt in between; two or more. */
type Repeats = readonly string[];
const NO_REPEATS: readonly Repeats[] = [];

/**
 * Queries for what repeated runs show. They read tables as they stand in results or come from logs, which hold no run-to-run scatter
 * themselves, and are read when results are judged: so the spread never rests on anything that it enters.
 */
export class RepeatQueries {
  readonly #files: FileQueries;
  readonly #entries: EntryQueries;

  constructor(files: FileQueries, entries: EntryQueries) {
    this.#files = files;
    this.#entries = entries;
  }

  /** Scatter of complete runs of a spec, else of the check standard. @param spec path of the spec, or the id where no file bears it */
  readonly runToRun = defineQuery<RunToRun | undefined>(
    'run to run',
    (spec, read) => {
      const own = runToRunOf(this.#tables(read.get(this.repeatsOf, spec), read), 'spec');
      if (own !== undefined) return own;
      const standards: Repeats[] = [];
      for (const path of read.get(this.checkStandards, '')) standards.push(...read.get(this.repeatsOf, path));
      return runToRunOf(this.#tables(standards, read), 'check standard');
    },
    { same: deepEqual, gate: true, ...IN_JSON },
  );

  readonly checkStandards = defineQuery<readonly string[]>(
    'check standards',
    (_, read) => {
      const specs = read.get(this.#files.ofKind, 'spec');
      const are = read.all(this.isCheckStandard, specs);
      return specs.filter((_path, i) => are[i]);
    },
    { same: deepEqual, gate: true, ...IN_JSON },
  );

  readonly isCheckStandard = defineQuery<boolean>(
    'is check standard',
    (path, read) => read.get(this.#files.specMeaning, path)?.role === 'checkStandard',
    { kept: true },
  );

  readonly allRepeats = defineQuery<ReadonlyMap<string, readonly Repeats[]>>(
    'all repeats',
    (_, read) => {
      const units = new Map<string, { readonly spec: string; readonly runs: Map<string, Dated> }>();
      for (const [text, head] of this.#named(read)) {
        if (head.sameMounting === true) continue;
        const spec = head.specPath ?? head.spec;
        const standard = head.specPath !== undefined && read.get(this.isCheckStandard, head.specPath);
        // A check standard is never rebuilt: each of its tests is a run of its own. Of other units a run counts once, by its last test.
        const key = JSON.stringify([spec, head.serial, standard ? '' : head.build, head.setting, head.bench ?? '']);
        const unit = units.get(key) ?? { spec, runs: new Map<string, Dated>() };
        units.set(key, unit);
        const run = standard ? text : String(head.run);
        const known = unit.runs.get(run);
        const test = { text, date: head.date };
        if (known === undefined || inTime(known, test) < 0) unit.runs.set(run, test);
      }
      const repeats = new Map<string, Repeats[]>();
      for (const { spec, runs } of units.values())
        if (runs.size > 1)
          repeats.set(spec, [...(repeats.get(spec) ?? []), [...runs.values()].sort(inTime).map((run) => run.text)]);
      return repeats;
    },
    { same: deepEqual, gate: true },
  );

  readonly testsBefore = defineQuery<ReadonlyMap<string, string>>(
    'tests before',
    (_, read) => {
      const units = new Map<string, Map<string, OfBuild>>();
      for (const [text, head] of this.#named(read)) {
        const key = JSON.stringify([head.specPath ?? head.spec, head.serial, head.setting]);
        const builds = units.get(key) ?? new Map<string, OfBuild>();
        units.set(key, builds);
        const test = { text, date: head.date, build: head.build };
        const known = builds.get(head.build);
        if (known === undefined || inTime(known, test) < 0) builds.set(head.build, test);
      }
      const before = new Map<string, string>();
      for (const builds of units.values()) {
        const inOrder = inOrderOfBuild([...builds.values()]);
        inOrder.slice(1).forEach((test, i) => before.set(test.text, inOrder[i]!.text));
      }
      return before;
    },
    { same: deepEqual, gate: true },
  );

  /** The latest test of the build before, of the same damper, spec and setting; only for the latest test of a build. */
  readonly before = defineLookup('test before', this.testsBefore, (before, text) => before.get(text), IN_JSON);

  readonly repeatsOf = defineLookup('repeats', this.allRepeats, (repeats, spec) => repeats.get(spec) ?? NO_REPEATS, {
    same: deepEqual,
    ...IN_JSON,
  });

  /** Entries that say which damper and build they are of. */
  #named(read: Reading): readonly (readonly [text: string, head: EntryHead])[] {
    const named: [string, EntryHead][] = [];
    const entries = read.get(this.#entries.entries, '');
    read.all(this.#entries.head, entries).forEach((head, i) => {
      if (head.serial !== '' && head.build !== '') named.push([entries[i]!, head]);
    });
    return named;
  }

  #tables(repeats: readonly Repeats[], read: Reading): readonly (readonly ForceTable[])[] {
    const groups: ForceTable[][] = [];
    for (const runs of repeats) {
      const tables: ForceTable[] = [];
      for (const run of runs) {
        const table = this.#entries.table(run, read);
        if (table !== undefined) tables.push(table);
      }
      groups.push(tables);
    }
    return groups;
  }
}

interface Dated {
  readonly text: string;
  readonly date: string;
}

function inTime(a: Dated, b: Dated): number {
  return byDate(a.date, b.date) || byText(a.text, b.text);
}

type OfBuild = Dated & { readonly build: string };

/** By number where every build bears one, as a rebuild makes the next; else by the day of the last test. */
function inOrderOfBuild(tests: readonly OfBuild[]): readonly OfBuild[] {
  const numbered = tests.every(({ build }) => /^\d{1,9}$/u.test(build));
  return [...tests].sort((a, b) => (numbered ? Number(a.build) - Number(b.build) : 0) || inTime(a, b));
}
