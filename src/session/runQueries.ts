import { analyseRun } from '../analysis/analyseRun';
import { METHOD_VERSION } from '../analysis/method';
import type { DamperHardware, RunAnalysis } from '../analysis/runAnalysis';
import { canonicalBench, canonicalMapping, canonicalSpec } from '../files/canonical';
import type { ForceTable, ResultOrigin } from '../files/forceTable';
import type { FileProblem } from '../files/problem';
import { resultPathOf } from '../files/recognise';
import type { TestLogHead } from '../files/testLog';
import { roundForceTable } from '../files/writeForceTable';
import { benchUncertainty, damperHardware } from '../review/damperHardware';
import type { LogUnderReview } from '../review/judgeInput';
import { measuredTable, type PlannedSpec } from '../review/measuredTable';
import { adjustersOfRun, settingsOfSteps, withFullSettings, type RunAdjuster } from '../review/runSettings';
import type { Digest } from '../ports/services';
import { deepEqual } from './deepEqual';
import type { FileQueries } from './fileQueries';
import type { IdentityQueries } from './identityQueries';
import { byText, groupLogs, identityOf, type LogGroups, type LogIdentity } from './logGroups';
import type { LogQueries } from './logQueries';
import { defineLookup, defineQuery, IN_JSON, type Reading } from './query';
import { lineOfRow, wholeHead, type LogRecord } from './reduceLogJob';

/** A run by its logs in their order; the key of the run queries is its text. */
export interface RunKey {
  readonly logs: readonly string[];
  /** Path of its spec. */
  readonly spec?: string;
}

export function runKeyText({ logs, spec }: RunKey): string {
  return JSON.stringify(spec === undefined ? { logs } : { logs, spec });
}

interface AnalysedSpec {
  readonly adjusters: readonly RunAdjuster[];
  readonly hardware: DamperHardware;
}

/** Queries from reduced logs to the result of a run. */
export class RunQueries {
  readonly #files: FileQueries;
  readonly #logs: LogQueries;
  readonly #identities: IdentityQueries;
  readonly #digest: Digest;

  constructor(files: FileQueries, logs: LogQueries, identities: IdentityQueries, digest: Digest) {
    this.#files = files;
    this.#logs = logs;
    this.#identities = identities;
    this.#digest = digest;
  }

  /** Digest of a text, which is the key. */
  readonly #textDigest = defineQuery<string>(
    'digest canonical form',
    (text) => this.#digest.sha256(new TextEncoder().encode(text)),
    { isPure: true },
  );

  /** All logs whose head can be read, put together to runs. */
  readonly groups = defineQuery<LogGroups>(
    'group logs',
    (_, read) => {
      const identities: LogIdentity[] = [];
      const paths = read.get(this.#files.ofKind, 'testLog');
      read.all(this.#identities.ofLog, paths).forEach((stated, i) => {
        if (stated !== null) identities.push(identityOf(paths[i]!, stated, this.#presentSpecId(stated.spec, read)));
      });
      return groupLogs(identities);
    },
    { same: deepEqual, gate: true },
  );

  readonly #alone = defineQuery<ReadonlySet<string>>(
    'logs alone',
    (_, read) => new Set(read.get(this.groups, '').alone),
  );

  /** Whether a log is part of no run. */
  readonly isAlone = defineLookup('alone', this.#alone, (alone, path) => alone.has(path), IN_JSON);

  /** What the analysis uses of a spec: an edit of anything else leaves it alone. */
  readonly analysedSpec = defineQuery<AnalysedSpec | undefined>(
    'spec for analysis',
    (path, read) => {
      const spec = read.get(this.#files.specMeaning, path);
      return (
        spec && { adjusters: spec.adjusters.map(({ id, unit }) => ({ id, unit })), hardware: damperHardware(spec) }
      );
    },
    { same: deepEqual },
  );

  /** What a result's table and its digest of the spec rest on. */
  readonly plannedSpec = defineQuery<(PlannedSpec & { readonly sha256: string }) | undefined>(
    'spec for result',
    (path, read) => {
      const spec = read.get(this.#files.specMeaning, path);
      if (spec === undefined) return undefined;
      const { id, adjusters, test } = spec;
      return {
        id,
        adjusters: adjusters.map((adjuster) => ({ id: adjuster.id, unit: adjuster.unit })),
        test: { velocities: test.velocities },
        sha256: read.get(this.#textDigest, canonicalSpec(spec)),
      };
    },
    { same: deepEqual },
  );

  readonly referencePath = defineQuery<string | undefined>(
    'reference path',
    (path, read) => read.get(this.#files.specMeaning, path)?.reference,
  );

  readonly analysis = defineQuery<RunAnalysis>('analyse run', (keyText, read) => {
    const key = JSON.parse(keyText) as RunKey;
    const records = this.records(key, read);
    const spec = key.spec === undefined ? undefined : read.get(this.analysedSpec, key.spec);
    const heads = records.map(headOf);
    const adjusters = adjustersOfRun(heads, spec);
    const bench = this.#bench(heads, read);
    const running = heads.filter((head) => head.kind !== 'static');
    const midPosition = agreed((running.length > 0 ? running : heads).map((head) => head.basis.midPosition));
    return analyseRun(
      records.map((record, i) => withFullSettings(heads[i]!, record.reduced, adjusters)),
      {
        settings: records.map(
          (record, i) => settingsOfSteps(heads[i]!, record.reduced, adjusters)[0] ?? adjusters.map(() => NaN),
        ),
        kinds: heads.map((head) => head.kind),
        forceZero: agreed(heads.map((head) => head.basis.forceZero ?? 'unknown')) ?? 'unknown',
        ...(bench !== undefined && { bench: benchUncertainty(bench) }),
        ...(spec !== undefined && { hardware: spec.hardware }),
        ...(midPosition !== undefined && { midPosition }),
      },
    );
  });

  /** The result as it would be written today, without the reference that it is judged by: that is no part of any comparison. */
  readonly measured = defineQuery<ForceTable>(
    'measured table',
    (keyText, read) => {
      const key = JSON.parse(keyText) as RunKey;
      const analysis = read.get(this.analysis, keyText);
      const heads = this.records(key, read).map(headOf);
      const spec = key.spec === undefined ? undefined : read.get(this.plannedSpec, key.spec);
      const origin = {
        source: this.#source(key, read),
        inputs: this.inputs(key, heads, read),
        method: METHOD_VERSION,
      };
      return roundForceTable(measuredTable(resultPathOfRun(key.logs), heads, analysis, spec, origin));
    },
    { same: deepEqual },
  );

  /** Path and digest of the reference that a spec names, where it is there. */
  reference(specPath: string | undefined, read: Reading): ResultOrigin['reference'] {
    const path = specPath === undefined ? undefined : read.get(this.referencePath, specPath);
    if (path === undefined || !read.get(this.#files.present, path)) return undefined;
    const sha256 = read.get(this.#files.textDigest, path);
    return sha256 === undefined ? undefined : { path, sha256 };
  }

  /** Digests of what the reduction uses of spec, mapping and bench data, each in a canonical form. */
  inputs(key: RunKey, heads: readonly TestLogHead[], read: Reading): ResultOrigin['inputs'] {
    const spec = key.spec === undefined ? undefined : read.get(this.plannedSpec, key.spec);
    const mappings = new Set<string>();
    for (const log of key.logs) {
      const claim = read.get(this.#logs.mapping, log);
      if (claim.kind === 'mapped') mappings.add(canonicalMapping(claim.mapping));
    }
    const bench = this.#bench(heads, read);
    return {
      ...(spec !== undefined && { spec: spec.sha256 }),
      ...(mappings.size > 0 && { mapping: read.get(this.#textDigest, [...mappings].sort().join('\n')) }),
      ...(bench !== undefined && { bench: read.get(this.#textDigest, canonicalBench(bench)) }),
    };
  }

  /** The reduced logs of a run. @throws LogsUnusable where one of them cannot be read */
  records(key: RunKey, read: Reading): readonly LogRecord[] {
    const records: LogRecord[] = [];
    const problems: FileProblem[] = [];
    for (const log of key.logs) {
      const report = this.#logs.report(log, read);
      if (report.kind === 'read') records.push(report.record);
      else problems.push(...report.problems);
    }
    if (problems.length > 0) throw new LogsUnusable(problems);
    return records;
  }

  #bench(heads: readonly TestLogHead[], read: Reading) {
    const id = heads.find((head) => head.bench !== undefined)?.bench;
    return id === undefined ? undefined : read.get(this.#files.bench, id);
  }

  #source(key: RunKey, read: Reading): ResultOrigin['source'] {
    const source: { path: string; sha256: string }[] = [];
    for (const path of key.logs) {
      const digest = read.get(this.#logs.digest, path);
      if (digest.kind === 'fault') throw new LogsUnusable([digest.problem]);
      source.push({ path, sha256: digest.sha256 });
    }
    return source;
  }

  #presentSpecId(stated: string | undefined, read: Reading): string {
    if (stated === undefined) return '';
    const found = read.get(this.#files.specOfId, stated);
    if (found.kind !== 'one') return stated;
    return read.get(this.#files.specIds, found.path)?.id ?? stated;
  }
}

/** Beside the first log by name. */
export function resultPathOfRun(logs: readonly string[]): string {
  return resultPathOf([...logs].sort(byText)[0]!);
}

/** Logs that a run rests on cannot be read. */
export class LogsUnusable extends Error {
  override readonly name = 'LogsUnusable';
  constructor(readonly problems: readonly FileProblem[]) {
    super(problems.map((problem) => `${problem.file}:${problem.position.line}: ${problem.message}`).join('\n'));
  }
}

export function logUnderReview(record: LogRecord): LogUnderReview {
  return { head: wholeHead(record.head), reduced: record.reduced, lineOfRow: (row) => lineOfRow(record, row) };
}

function headOf(record: LogRecord): TestLogHead {
  return wholeHead(record.head);
}

/** The one value that all who state one state. */
function agreed<Value>(values: readonly (Value | undefined)[]): Value | undefined {
  const stated = new Set(values.filter((value) => value !== undefined));
  return stated.size === 1 ? [...stated][0] : undefined;
}
