import { METHOD_VERSION } from '../analysis/method';
import type { FileProblem, SourcePosition } from '../files/problem';
import { REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import { readCsvw } from '../files/readCsvw';
import { mappingsOf } from '../files/recognise';
import type { LogMapping } from '../files/reviewConfig';
import type { AbortSignalLike } from '../ports/abort';
import { deepEqual } from './deepEqual';
import { sameMapping, samePaths, textOfPaths, type FileQueries } from './fileQueries';
import { digestOfSource } from './lineEndings';
import { LogHeads } from './logHeads';
import { decodePlain, encodePlain } from './plainCodec';
import { faultOfReading, ownFault } from './portProblems';
import { defineQuery, type Reading } from './query';
import {
  readHeadJob,
  reduceLogJob,
  type HeadReport,
  type LogFault,
  type LogPorts,
  type LogReport,
  type LogRequest,
} from './reduceLogJob';
import type { SessionPorts } from './sessionPorts';
import type { WorkFiles } from './workFiles';

/** How a log is read: by a mapping, by its own header, or not at all because two mappings claim it. */
export type MappingOfLog =
  | { readonly kind: 'own' }
  | { readonly kind: 'mapped'; readonly mapping: LogMapping }
  | { readonly kind: 'ambiguous'; readonly mappings: readonly LogMapping[] };

export type DigestReport =
  { readonly kind: 'digest'; readonly sha256: string } | { readonly kind: 'fault'; readonly problem: FileProblem };

/** A reduced log, and in one text all that it depends on. */
export interface Reduction {
  readonly report: LogReport;
  readonly basis: string;
}

/** Part of the cache key: raise it when LogRecord or the reading of logs changes without METHOD_VERSION. */
const RECORD_VERSION = 2;

/** A log of at most so many bytes is digested sooner than it is sent anywhere. */
const MOST_DIGESTED_HERE = 2 * 1024 * 1024;

/** Queries from a log's bytes to its reduced form. */
export class LogQueries {
  readonly #work: WorkFiles;
  readonly #ports: SessionPorts;
  readonly #files: FileQueries;
  readonly #heads: LogHeads;

  constructor(work: WorkFiles, ports: SessionPorts, files: FileQueries) {
    this.#work = work;
    this.#ports = ports;
    this.#files = files;
    this.#heads = new LogHeads(work, ports.gunzip);
  }

  readonly csvw = defineQuery<{ readonly mapping?: LogMapping; readonly problems: readonly FileProblem[] }>(
    'parse csvw',
    (path, read) => {
      const text = read.get(this.#files.text, path);
      return text.kind === 'fault' ? { problems: [text.problem] } : readCsvw(path, text.bytes);
    },
  );

  /** Most repositories hold none, and then no log asks for its own. */
  readonly metadataFiles = defineQuery<ReadonlySet<string>>(
    'metadata files',
    (_, read) => new Set([...read.get(this.#files.paths, '')].filter((path) => path.endsWith('-metadata.json'))),
    { same: samePaths, gate: true, anchor: textOfPaths },
  );

  /** Claims of damper-review.yaml and of a metadata file beside the log. */
  readonly mapping = defineQuery<MappingOfLog>(
    'mapping of log',
    (path, read) => {
      const claims = [...mappingsOf(path, { logs: read.get(this.#files.mappings, '') })];
      const all = read.get(this.metadataFiles, '');
      const metadata = all.size === 0 ? '' : `${path}-metadata.json`;
      if (all.has(metadata)) {
        const { mapping } = read.get(this.csvw, metadata);
        if (mapping !== undefined) claims.push(mapping);
      }
      const [mapping, ...others] = claims;
      if (mapping === undefined) return { kind: 'own' };
      return others.length === 0 ? { kind: 'mapped', mapping } : { kind: 'ambiguous', mappings: claims };
    },
    {
      same: (a, b) => {
        if (a.kind === 'mapped' && b.kind === 'mapped') return sameMapping(a.mapping, b.mapping);
        return deepEqual(a, b);
      },
      anchor: (claim) => (claim.kind === 'own' ? claim.kind : JSON.stringify(claim)),
    },
  );

  /** Digest as it stands in a result's `source`. */
  readonly digest = defineQuery<DigestReport>(
    'digest log',
    (path, read) => {
      read.get(this.#files.content, path);
      return this.#digestReport(path, read);
    },
    { same: deepEqual },
  );

  readonly head = defineQuery<HeadReport>(
    'read head',
    (path, read) => {
      const request = this.#request(path, read);
      if ('kind' in request) return request;
      read.get(this.#files.content, path);
      return this.#heads.atHand(request) ?? this.#headReport(request, read);
    },
    { same: deepEqual },
  );

  readonly reduction = defineQuery<Reduction>(
    'reduce log',
    (path, read) => {
      const request = this.#request(path, read);
      if ('kind' in request) return faulty(request);
      if (this.#heads.isSmall(path)) {
        const head = read.get(this.head, path);
        if (head.kind === 'fault' && isPointer(head))
          return { report: head, basis: `pointer ${head.problems[0]?.value ?? ''}` };
      }
      const digest = read.get(this.digest, path);
      if (digest.kind === 'fault') return faulty({ kind: 'fault', problems: [digest.problem], passing: true });
      return this.#reduce(request, digest.sha256, read);
    },
    { large: { bytes: recordBytes, fingerprint: ({ basis }) => basis } },
  );

  /** What a log gives. Of a pointer no reduction is asked for: a repository may hold one for each of thousands of logs. */
  report(path: string, read: Reading): LogReport {
    const head = read.get(this.head, path);
    return head.kind === 'fault' && isPointer(head) ? head : read.get(this.reduction, path).report;
  }

  /** Takes in that a file is another now, or gone: what is being read of it is of no use. */
  fileChanged(path: string): void {
    this.#ports.readings?.fileChanged(path);
  }

  async #headReport(request: LogRequest, read: Reading): Promise<HeadReport> {
    const report =
      (await this.#heads.ofFirstBytes(request, read.signal)) ??
      (await readHeadJob(this.#logPorts(), request, read.signal));
    if (report.kind === 'fault' && report.passing) read.notFinal();
    return report;
  }

  async #digestReport(path: string, read: Reading): Promise<DigestReport> {
    try {
      return { kind: 'digest', sha256: await this.#digestOf(path, read) };
    } catch (error) {
      return { kind: 'fault', problem: faultOfReading(path, error, read) };
    }
  }

  #digestOf(path: string, { signal }: Reading): Promise<string> {
    const { digests, digest, readings } = this.#ports;
    const size = this.#work.sizeOf(path);
    const isLarge = !this.#work.isOverlaid(path) && (size === 0 || size > MOST_DIGESTED_HERE); // 0: of any size
    const work = (stop: AbortSignalLike | undefined): Promise<string> =>
      digests !== undefined && isLarge
        ? digests.run(path, stop)
        : digestOfSource(digest, path, this.#work.open(path, stop));
    return readings === undefined || !isLarge
      ? work(signal)
      : readings.digests.run(path, this.#work.stateOf(path), work, signal);
  }

  #request(path: string, read: Reading): LogRequest | Extract<LogReport, { kind: 'fault' }> {
    const claim = read.get(this.mapping, path);
    if (claim.kind === 'own') return { file: path };
    if (claim.kind === 'mapped') return { file: path, mapping: claim.mapping };
    const { config } = read.get(this.#files.config, '');
    return {
      kind: 'fault',
      problems: [ambiguousMapping(path, claim.mappings, (key) => config.positionOf(key))],
      passing: false,
    };
  }

  async #reduce(request: LogRequest, sha256: string, read: Reading): Promise<Reduction> {
    const isSmall = this.#heads.isSmall(request.file);
    const store = isSmall ? undefined : this.#ports.store;
    const key = cacheKey(request, sha256);
    const kept = await store?.get(key);
    const known = kept === undefined ? undefined : decodedReport(kept);
    if (known !== undefined) return { report: known, basis: key };
    const report = await this.#reportOf(request, isSmall, read).catch((error: unknown): LogReport => ({
      kind: 'fault',
      problems: [ownFault(request.file, error)],
      passing: true,
    }));
    if (report.kind === 'fault') {
      if (report.passing) read.notFinal();
      return faulty(report);
    }
    // A log that was written to between its digest and its reduction must not be kept under that digest.
    if (store !== undefined && (this.#work.isOverlaid(request.file) || (await this.#work.isAsLookedAt(request.file))))
      await store.put(key, encodePlain(report));
    return { report, basis: key };
  }

  #reportOf(request: LogRequest, isSmall: boolean, { signal }: Reading): Promise<LogReport> {
    const { file } = request;
    const { logs, readings } = this.#ports;
    const isHere = isSmall || this.#work.isOverlaid(file);
    const work = (stop: AbortSignalLike | undefined): Promise<LogReport> =>
      isHere || logs === undefined ? reduceLogJob(this.#logPorts(), request, stop) : logs.run(request, stop);
    if (readings === undefined || isHere) return work(signal);
    const state = JSON.stringify([this.#work.stateOf(file), request.mapping]);
    return readings.reports.run(file, state, work, signal);
  }

  #logPorts(): LogPorts {
    return { files: { open: (path, signal) => this.#work.open(path, signal) }, gunzip: this.#ports.gunzip };
  }
}

/** Whether a log gives nothing because a pointer stands in its place. */
export function isPointer(report: LogFault | { readonly kind: 'read' }): boolean {
  return report.kind === 'fault' && report.problems.some(({ rule }) => rule === 'large-file-pointer');
}

function faulty(report: LogFault): Reduction {
  return { report, basis: JSON.stringify(report.problems) };
}

/** The path is in it because a mapping may take serial and build from there, and messages name it. */
function cacheKey({ file, mapping }: LogRequest, sha256: string): string {
  const reading = Object.entries(mapping ?? {}).filter(([key]) => key !== 'file' && key !== 'keyPath');
  return JSON.stringify(['log', RECORD_VERSION, METHOD_VERSION, sha256, file, reading]);
}

/** Undefined where the cache holds something else than it should: then the log is read again. */
function decodedReport(bytes: Uint8Array): LogReport | undefined {
  try {
    const value = decodePlain(bytes) as Partial<LogReport> | null;
    return typeof value === 'object' && value?.kind === 'read' ? (value as LogReport) : undefined;
  } catch {
    return undefined;
  }
}

/** Nearly all of a record is its typed arrays: bins of 64 and 400 places for each side of each step. */
function recordBytes({ report }: Reduction): number {
  return report.kind === 'read' ? 40_000 * (1 + report.record.reduced.steps.length) : 0;
}

function ambiguousMapping(
  path: string,
  mappings: readonly LogMapping[],
  positionOf: (keyPath: string) => SourcePosition,
): FileProblem {
  const [first, second] = mappings.map(nameOfMapping);
  const later = mappings[1]!;
  const inConfig = later.file === REVIEW_CONFIG_PATH;
  return {
    rule: 'id-ambiguous',
    file: later.file,
    position: inConfig ? positionOf(`${later.keyPath}.files`) : { line: 1, column: 1 },
    column: `${later.keyPath}.files`,
    value: later.files.slice(0, 80),
    message: `Two mappings claim ${path}: ${first ?? ''} and ${second ?? ''}. The log is not read.`,
    remedy: 'Narrow one of the two patterns, or remove one of the mappings.',
  };
}

function nameOfMapping({ file, keyPath }: LogMapping): string {
  return file === REVIEW_CONFIG_PATH ? `${keyPath} of ${file}` : file;
}
