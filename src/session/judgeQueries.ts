import { matchesGlob } from '../files/globs';
import type { RunAnalysis } from '../analysis/runAnalysis';
import type { SourcePosition } from '../files/problem';
import { REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import type { ReviewConfig, Waiver } from '../files/reviewConfig';
import { writeForceTable } from '../files/writeForceTable';
import { judgeResult, judgeVerdict } from '../review/judgeResult';
import type { JudgeInput, Provenance } from '../review/judgeInput';
import type { JudgedResult, Verdict } from '../review/judgedResult';
import { mayFindAnyError } from '../review/rules/allRules';
import { ruleLimit, type RuleOverrides } from '../review/rules/catalogue';
import type { Spec } from '../files/spec';
import type { Clock } from '../ports/services';
import { deepEqual } from './deepEqual';
import type { AdoptedQueries } from './adoptedQueries';
import { comparedRun } from './comparedRun';
import { placeOfEntry, runKeyOf, type EntryQueries } from './entryQueries';
import { PLACES, type FileQueries, type RuleConfig } from './fileQueries';
import { isPointer, type LogQueries } from './logQueries';
import { placeResult } from './placeResult';
import { provenanceByInputs, provenanceBySources, provenanceByText, type SourceNow } from './provenance';
import { defineQuery, type Reading } from './query';
import type { RepeatQueries } from './repeatQueries';
import { logUnderReview, runKeyText, type RunQueries } from './runQueries';
import type { TemperatureQueries } from './temperatureQueries';
import { wholeHead } from './reduceLogJob';

/** The queries that judging rests on. */
interface JudgeBasis {
  readonly files: FileQueries;
  readonly logs: LogQueries;
  readonly runs: RunQueries;
  readonly entries: EntryQueries;
  readonly repeats: RepeatQueries;
  readonly adopted: AdoptedQueries;
  readonly temperature: TemperatureQueries;
}

type InputDraft = { -readonly [Key in keyof JudgeInput]: JudgeInput[Key] };

/** Queries from tables and logs to verdicts. */
export class JudgeQueries {
  readonly #files: FileQueries;
  readonly #logs: LogQueries;
  readonly #runs: RunQueries;
  readonly #entries: EntryQueries;
  readonly #repeats: RepeatQueries;
  readonly #adopted: AdoptedQueries;
  readonly #temperature: TemperatureQueries;
  readonly #clock: Clock;

  constructor({ files, logs, runs, entries, repeats, adopted, temperature }: JudgeBasis, clock: Clock) {
    this.#files = files;
    this.#logs = logs;
    this.#runs = runs;
    this.#entries = entries;
    this.#repeats = repeats;
    this.#adopted = adopted;
    this.#temperature = temperature;
    this.#clock = clock;
  }

  readonly today = defineQuery<string>('today', () => this.#clock.today(), {
    gate: true,
    anchor: (day) => day,
  });

  /** Levels, limits, and the waivers that may cover a finding in one of these files. @param filesText JSON list of paths */
  readonly rulesFor = defineQuery<RuleConfig>(
    'rules for files',
    (filesText, read) => this.#waiversFor(JSON.parse(filesText) as string[], read),
    { same: (a, b) => deepEqual(a, b, PLACES) },
  );

  /** As `rulesFor`, of all files of an entry. */
  readonly #rulesOfEntry = defineQuery<RuleConfig>(
    'rules for result',
    (text, read) => {
      const { place, logs, specPath } = read.get(this.#entries.head, text);
      const spec = specPath === undefined ? undefined : read.get(this.#files.specMeaning, specPath);
      return this.#waiversFor([place, ...logs, specPath, spec?.reference, REVIEW_CONFIG_PATH], read);
    },
    { same: (a, b) => deepEqual(a, b, PLACES) },
  );

  readonly provenance = defineQuery<Provenance>(
    'provenance',
    (file, read) => {
      const table = read.get(this.#files.tableMeaning, file);
      if (table?.result === undefined) return { kind: 'unsourced', missing: [], detail: 'it names no log.' };
      const recorded = table.result.source;
      const sources: SourceNow[] = [];
      for (const source of recorded) sources.push(this.#sourceNow(source, read));
      const unsourced = provenanceBySources(sources);
      if (unsourced !== undefined) return unsourced;
      const head = read.get(this.#entries.head, `result ${file}`);
      const key = runKeyOf(head, head.logs);
      const heads = this.#runs.records(key, read).map((record) => wholeHead(record.head));
      const changed = provenanceByInputs(table.result, {
        sources,
        inputs: this.#runs.inputs(key, heads, read),
        logsOfRun: this.#logsOfRun(head.logs, read),
      });
      if (changed !== undefined) return changed;
      const text = read.get(this.#files.text, file);
      if (text.kind === 'fault') return { kind: 'unsourced', missing: [], detail: 'it cannot be read again.' };
      return provenanceByText(text.bytes, writeForceTable({ ...read.get(this.#runs.measured, runKeyText(key)), file }));
    },
    { same: deepEqual },
  );

  #sourceNow({ path, sha256: recorded }: { readonly path: string; readonly sha256: string }, read: Reading): SourceNow {
    if (!read.get(this.#files.present, path)) return { path, recorded };
    const report = this.#logs.report(path, read);
    const unreadable = report.kind === 'read' ? undefined : (report.problems[0]?.message ?? '');
    // Of the log that a pointer stands for nothing is known, and nobody asks for the pointer's own digest.
    if (unreadable !== undefined && isPointer(report))
      return { path, recorded, sha256: '', isPointer: true, unreadable };
    const digest = read.get(this.#logs.digest, path);
    if (digest.kind === 'fault') return { path, recorded };
    return { path, recorded, sha256: digest.sha256, ...(unreadable !== undefined && { unreadable }) };
  }

  #logsOfRun(logs: readonly string[], read: Reading): readonly string[] {
    for (const log of logs) {
      const group = read.get(this.#entries.groupOfLog, log);
      if (group !== undefined) return [...group.logs, ...group.statics];
    }
    return [];
  }

  /** Undefined where a run has no log that can be read. */
  readonly judged = defineQuery<JudgedResult | undefined>(
    'judge',
    (text, read) => {
      const input = this.#input(text, read, () => true);
      return input === undefined ? undefined : judgeResult(input);
    },
    { isHeavy: true },
  );

  /** The verdict of `judged` alone, which takes a third of the work. */
  readonly verdict = defineQuery<Verdict | undefined>('verdict', (text, read) => {
    const input = this.#input(text, read, mayFindAnyError);
    return input === undefined ? undefined : judgeVerdict(input);
  });

  /** @param needsAll whether what only rules look at that find no error by themselves is needed as well */
  #input(text: string, read: Reading, needsAll: (overrides: RuleOverrides) => boolean): InputDraft | undefined {
    const head = read.get(this.#entries.head, text);
    const table = this.#entries.table(text, read);
    if (table === undefined) return undefined;
    const logs = this.#entries.usableNow(head, read);
    const key = runKeyOf(head, logs);
    const records = this.#runs.records(key, read);
    const spec = head.specPath === undefined ? undefined : read.get(this.#files.specMeaning, head.specPath);
    const reference = spec?.reference === undefined ? undefined : this.#referenceTable(spec.reference, read);
    const bench = this.#bench(table.result?.bench, read);
    const rules = read.get(this.#rulesOfEntry, text);
    const { file, waivers } = rules;
    const config: ReviewConfig = { file, rules: rules.rules, waivers, logs: [], benches: {}, positionOf: atBeginning };
    const input: InputDraft = {
      file: head.place,
      table,
      provenance: head.isResult ? read.get(this.provenance, head.place) : { kind: 'measured' },
      logs: records.map(logUnderReview),
      config,
      today: read.get(this.today, ''),
      attempt: read.get(this.#entries.attempt, text),
    };
    if (spec !== undefined) input.spec = spec;
    if (reference !== undefined) input.reference = reference;
    if (bench !== undefined) input.bench = bench;
    if (records.length > 0) input.analysis = read.get(this.#runs.analysis, runKeyText(key));
    if (spec?.normalise === true) input.normalisation = read.get(this.#temperature.normalisation, spec.file);
    const runToRun = read.get(this.#repeats.runToRun, head.specPath ?? head.spec);
    if (runToRun !== undefined) input.runToRun = runToRun;
    if (needsAll({ spec: spec?.rules, config: config.rules })) this.#addOthers(input, text, read);
    return input;
  }

  /** What other tests show that a rule holds this one against. */
  #addOthers(input: InputDraft, text: string, read: Reading): void {
    const { analysis, spec, config, runToRun } = input;
    const roughness = analysis && this.#adoptedRipple(text, analysis, spec, config, read);
    if (roughness !== undefined) input.adoptedRoughness = roughness;
    // Nothing but repeats tells whether a change is more than scatter.
    const before = runToRun && this.#before(text, read);
    if (before !== undefined) input.before = before;
  }

  /** The judged result with its findings where its files have them now. */
  readonly placed = defineQuery<JudgedResult | undefined>('place', (text, read) => this.placedNow(text, read), {
    isHeavy: true,
  });

  /** As `placed`, for a query that is the only one to ask: a cell that one other reads alone is of no use. */
  placedNow(text: string, read: Reading): JudgedResult | undefined {
    const judged = read.get(this.judged, text);
    if (judged === undefined) return undefined;
    const { isResult, place } = read.get(this.#entries.head, text);
    const { reference } = judged;
    return placeResult(judged, {
      table: isResult ? read.get(this.#files.table, place).table : undefined,
      reference: reference === undefined ? undefined : read.get(this.#files.table, reference.file).table,
    });
  }

  /** The build before, to hold this one against. */
  #before(text: string, read: Reading): JudgeInput['before'] {
    const earlier = read.get(this.#repeats.before, text);
    const table = earlier === undefined ? undefined : this.#entries.table(earlier, read);
    if (earlier === undefined || table === undefined) return undefined;
    return comparedRun(placeOfEntry(earlier), placeOfEntry(earlier), table, this.#files, read);
  }

  /** Read only where a loop is rough by itself, so that the reference's logs need not be there and be read for every other result. */
  #adoptedRipple(
    text: string,
    { roughness }: RunAnalysis,
    spec: Spec | undefined,
    config: ReviewConfig,
    read: Reading,
  ): JudgeInput['adoptedRoughness'] {
    const limit = ruleLimit('loop-rough', { spec: spec?.rules, config: config.rules });
    if (spec?.reference === undefined || !roughness.some(({ ratio }) => ratio > limit)) return undefined;
    if (!read.get(this.#files.present, spec.reference)) return undefined;
    if (read.get(this.#adopted.entries, spec.reference).includes(text)) return undefined;
    return read.get(this.#adopted.roughness, spec.reference);
  }

  #referenceTable(path: string, read: Reading) {
    return read.get(this.#files.present, path) ? read.get(this.#files.tableMeaning, path) : undefined;
  }

  #bench(id: string | undefined, read: Reading) {
    return id === undefined ? undefined : read.get(this.#files.bench, id);
  }

  #waiversFor(files: readonly (string | undefined)[], read: Reading): RuleConfig {
    const { file, rules, waivers } = read.get(this.#files.ruleConfig, '');
    const covers = (waiver: Waiver): boolean =>
      files.some((path) => path !== undefined && matchesGlob(waiver.file, path));
    return { file, rules, waivers: waivers.filter(covers) };
  }
}

/** Nothing in the rules of one result stands at a place. */
function atBeginning(): SourcePosition {
  return { line: 1, column: 1 };
}
