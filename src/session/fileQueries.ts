import type { ForceTable } from '../files/forceTable';
import type { FileProblem } from '../files/problem';
import { MOST_TEXT_BYTES } from '../files/decodeText';
import { emptyReviewConfig, readReviewConfig, REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import { sayTheSame } from '../files/forceRow';
import { readForceTable } from '../files/readForceTable';
import { readSpec } from '../files/readSpec';
import { recogniseFile, type FileKind } from '../files/recognise';
import type { Bench, LogMapping, ReviewConfig, Waiver } from '../files/reviewConfig';
import type { PlacedSpec, RuleSettings, Spec } from '../files/spec';
import { specOfText, textOfSpec, withoutPlaces } from '../files/specText';
import type { Digest } from '../ports/services';
import { deepEqual } from './deepEqual';
import { withoutCrLf } from './lineEndings';
import { faultOfReading } from './portProblems';
import { defineInput, defineLookup, defineQuery, IN_JSON, type Reading } from './query';
import type { WorkFiles } from './workFiles';

export type TextReport =
  | { readonly kind: 'text'; readonly bytes: Uint8Array; readonly fingerprint: string }
  | { readonly kind: 'fault'; readonly problem: FileProblem };

/** Which spec bears an id, now or formerly. */
export type SpecOfId =
  | { readonly kind: 'none' }
  | { readonly kind: 'one'; readonly path: string }
  | { readonly kind: 'many'; readonly paths: readonly string[] };

/** The part of damper-review.yaml that judging uses. */
export interface RuleConfig {
  readonly file: string;
  readonly rules: RuleSettings;
  readonly waivers: readonly Waiver[];
}

/** Where something stands does not matter to what it means. */
export const PLACES: ReadonlySet<string> = new Set(['line', 'headerLine', 'position', 'positions']);
const NAMES: ReadonlySet<string> = new Set(['keyPath', 'file']);

/** Queries from the bytes of small files to what they say. A value is split where its parts are used apart, so that an edit reaches only what uses it. */
export class FileQueries {
  readonly #work: WorkFiles;
  readonly #digest: Digest;

  constructor(work: WorkFiles, digest: Digest) {
    this.#work = work;
    this.#digest = digest;
  }

  /** Every path of the repository. */
  readonly paths = defineQuery<ReadonlySet<string>>('paths', () => new Set(this.#work.paths()), {
    same: samePaths,
    gate: true,
    anchor: textOfPaths,
  });

  readonly present = defineLookup('present', this.paths, (paths, path) => paths.has(path), { anchor: String });

  /**
   * Stands for what a file holds: whatever reads one reads this. Another value each time that the file may have changed, with a text that
   * vouches for the content where the file system can.
   */
  readonly content = defineInput('content', (path) => this.#contentNow(path), {
    anchor: ({ text }) => text,
    isFresh: ({ isFresh }) => isFresh,
    looks: {
      of: (path) => this.#work.lookOf(path),
      compare: (paths, numbers) => this.#work.compareLooks(paths, numbers),
    },
  });

  #contentNow(path: string): { readonly text: string | undefined; readonly isFresh: boolean } {
    const text = this.#work.contentText(path);
    return { text, isFresh: text === undefined && this.#work.isFresh(path) };
  }

  readonly text = defineQuery<TextReport>('read', (path, read) => this.#textNow(path, read) ?? this.#text(path, read), {
    large: {
      bytes: (report) => (report.kind === 'text' ? report.bytes.length : 0),
      fingerprint: (report) => (report.kind === 'text' ? report.fingerprint : JSON.stringify(report.problem)),
    },
  });

  /** Where the file system vouches for the content that is enough: a digest of each file took as long as reading it. */
  #textNow(path: string, read: Reading): TextReport | undefined {
    const { text } = read.get(this.content, path);
    const bytes = text === undefined ? undefined : this.#work.readNow(path);
    return text === undefined || bytes === undefined ? undefined : { kind: 'text', bytes, fingerprint: text };
  }

  async #text(path: string, read: Reading): Promise<TextReport> {
    const { text } = read.get(this.content, path);
    try {
      const bytes = this.#work.readNow(path) ?? (await this.#work.read(path, MOST_TEXT_BYTES));
      return { kind: 'text', bytes, fingerprint: text ?? (await this.#digest.sha256(withoutCrLf(bytes))) };
    } catch (error) {
      return { kind: 'fault', problem: faultOfReading(path, error, read) };
    }
  }

  /** Digest of a file's text, whatever its line ends; undefined where it cannot be read. */
  readonly textDigest = defineQuery<string | undefined>('digest text', (path, read) => {
    const text = read.get(this.text, path);
    return text.kind === 'text' ? this.#digest.sha256(withoutCrLf(text.bytes)) : undefined;
  });

  readonly config = defineQuery<{ readonly config: ReviewConfig; readonly problems: readonly FileProblem[] }>(
    'parse config',
    (_, read) => {
      if (!read.get(this.present, REVIEW_CONFIG_PATH)) return { config: emptyReviewConfig(), problems: [] };
      const text = read.get(this.text, REVIEW_CONFIG_PATH);
      if (text.kind === 'fault') return { config: emptyReviewConfig(), problems: [text.problem] };
      return readReviewConfig(REVIEW_CONFIG_PATH, text.bytes);
    },
  );

  readonly mappings = defineQuery<readonly LogMapping[]>(
    'mappings',
    (_, read) => read.get(this.config, '').config.logs,
    { same: deepEqual, gate: true, kept: true },
  );

  readonly bench = defineQuery<Bench | undefined>(
    'bench',
    (id, read) => {
      const { benches } = read.get(this.config, '').config;
      return Object.hasOwn(benches, id) ? benches[id] : undefined;
    },
    { same: deepEqual, gate: true, ...IN_JSON },
  );

  readonly ruleConfig = defineQuery<RuleConfig>(
    'rules',
    (_, read) => {
      const { file, rules, waivers } = read.get(this.config, '').config;
      return { file, rules, waivers };
    },
    { same: (a, b) => deepEqual(a, b, PLACES), gate: true, kept: true },
  );

  /** Paths by kind, each list sorted. */
  readonly inventory = defineQuery<Readonly<Partial<Record<FileKind, readonly string[]>>>>(
    'inventory',
    (_, read) => {
      const logs = read.get(this.mappings, '');
      const found: Partial<Record<FileKind, string[]>> = {};
      for (const path of read.get(this.paths, '')) {
        const kind = recogniseFile(path, { logs });
        if (kind !== undefined) (found[kind] ??= []).push(path);
      }
      return found;
    },
    { same: deepEqual, gate: true },
  );

  readonly ofKind = defineQuery<readonly string[]>(
    'files of kind',
    (kind, read) => read.get(this.inventory, '')[kind as FileKind] ?? [],
    { same: deepEqual, ...IN_JSON },
  );

  readonly spec = defineQuery<{ readonly spec?: PlacedSpec; readonly problems: readonly FileProblem[] }>(
    'parse spec',
    (path, read) => {
      const text = read.get(this.text, path);
      return text.kind === 'fault' ? { problems: [text.problem] } : readSpec(path, text.bytes);
    },
  );

  /** A spec by what it says, wherever its keys stand. */
  readonly specMeaning = defineQuery<Spec | undefined>(
    'spec',
    (path, read) => {
      const { spec } = read.get(this.spec, path);
      return spec && withoutPlaces(spec);
    },
    { same: deepEqual, gate: true, anchor: textOfSpec, restore: specOfText },
  );

  /** Null for a spec that cannot be read. */
  readonly specIds = defineQuery<{ readonly id: string; readonly formerly: readonly string[] } | null>(
    'spec ids',
    (path, read) => {
      const spec = read.get(this.specMeaning, path);
      return spec === undefined ? null : { id: spec.id, formerly: spec.formerly };
    },
    { same: deepEqual, kept: true },
  );

  readonly specIndex = defineQuery<
    ReadonlyMap<string, { readonly now: readonly string[]; readonly formerly: readonly string[] }>
  >(
    'spec index',
    (_, read) => {
      const index = new Map<string, { now: string[]; formerly: string[] }>();
      const entry = (id: string): { now: string[]; formerly: string[] } => {
        const found = index.get(id) ?? { now: [], formerly: [] };
        index.set(id, found);
        return found;
      };
      const paths = read.get(this.ofKind, 'spec');
      read.all(this.specIds, paths).forEach((ids, i) => {
        if (ids === null) return;
        const path = paths[i]!;
        entry(ids.id).now.push(path);
        for (const id of new Set(ids.formerly)) if (id !== ids.id) entry(id).formerly.push(path);
      });
      return index;
    },
    { same: deepEqual, gate: true },
  );

  /** An id that a spec bears now goes before one that others bore formerly. */
  readonly specOfId = defineQuery<SpecOfId>(
    'spec of id',
    (id, read) => {
      const entry = read.get(this.specIndex, '').get(id);
      const paths = entry === undefined ? [] : entry.now.length > 0 ? entry.now : entry.formerly;
      if (paths.length > 1) return { kind: 'many', paths };
      return paths[0] === undefined ? { kind: 'none' } : { kind: 'one', path: paths[0] };
    },
    { same: deepEqual, ...IN_JSON },
  );

  /** Reference curves or a result. */
  readonly table = defineQuery<{ readonly table?: ForceTable; readonly problems: readonly FileProblem[] }>(
    'parse table',
    (path, read) => {
      // The bytes of thousands of tables are of no use once they are read.
      const text = this.#textNow(path, read) ?? read.get(this.text, path);
      return text.kind === 'fault' ? { problems: [text.problem] } : readForceTable(path, text.bytes);
    },
  );

  /** A table by what it says; the lines of its rows may be out of date. */
  readonly tableMeaning = defineQuery<ForceTable | undefined>(
    'table',
    (path, read) => read.get(this.table, path).table,
    {
      same: sameTable,
    },
  );
}

function sameTable(a: ForceTable | undefined, b: ForceTable | undefined): boolean {
  if (a === undefined || b === undefined) return a === b;
  const [{ rows, ...head }, { rows: others, ...other }] = [a, b];
  return deepEqual(head, other, PLACES) && sayTheSame(rows, others);
}

/** Mappings that read a log alike, wherever they stand. */
export function sameMapping(a: LogMapping | undefined, b: LogMapping | undefined): boolean {
  return deepEqual(a, b, NAMES);
}

export function samePaths(a: ReadonlySet<string>, b: ReadonlySet<string>): boolean {
  return a.size === b.size && [...a].every((path) => b.has(path));
}

export function textOfPaths(paths: ReadonlySet<string>): string {
  return [...paths].join('//'); // which no path holds
}
