import { REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import type { Finding } from '../review/finding';
import type { JudgedResult } from '../review/judgedResult';
import { expiredWaivers, isExpired } from '../review/waivers';
import { problemFindings } from '../review/problemFindings';
import { placeOfEntry } from './entryQueries';
import { listingProblems } from './fileProblems';
import type { ReportQueries } from './reportQueries';
import { eachOf } from './reviewPaths';
import type { SessionRun } from './reviewSession';
import { WorkInHand } from './workInHand';

/** What is other than at the review before. */
export interface ReviewChanges {
  /** By entry; undefined where an entry is gone, or gives no result any more. */
  readonly results: ReadonlyMap<string, JudgedResult | undefined>;
  /** By where they come from (an entry, a file, the waivers); empty where there are none any more. */
  readonly findings: ReadonlyMap<string, readonly Finding[]>;
}

/** Keys that queries of these names were marked for since the last call. */
export interface MarkedKeys {
  takeMarked(query: ReportQueries['explained'] | ReportQueries['ofFile']): ReadonlySet<string>;
}

/**
 * A review of the whole repository that answers with what changed. It keeps what it told, asks again only for what an edit marked, and so
 * costs what the edit touches, however many results there are.
 */
export class LiveReview {
  readonly #reports: ReportQueries;
  readonly #marked: MarkedKeys;
  #entries: readonly string[] = [];
  #known: ReadonlySet<string> = new Set();
  #files: ReadonlySet<string> = new Set();
  readonly #results = new Map<string, JudgedResult>();
  readonly #findings = new Map<string, readonly Finding[]>();
  /** Not told yet: what a run that was given up has left over. */
  readonly #open = { entries: new Set<string>(), files: new Set<string>() };
  #untold = { results: new Map<string, JudgedResult | undefined>(), findings: new Map<string, readonly Finding[]>() };

  constructor(reports: ReportQueries, marked: MarkedKeys) {
    this.#reports = reports;
    this.#marked = marked;
  }

  async update(run: SessionRun): Promise<ReviewChanges> {
    const { queries, read } = run;
    for (const key of this.#marked.takeMarked(this.#reports.explained)) this.#open.entries.add(key);
    for (const key of this.#marked.takeMarked(this.#reports.ofFile)) this.#open.files.add(key);
    this.#takeEntries(await read.get(queries.entries.entries, ''));
    this.#takeFiles(await read.get(queries.files.paths, ''));
    const [entriesOpen, filesOpen] = [[...this.#open.entries], [...this.#open.files]];
    const inHand = new WorkInHand(entriesOpen.length + filesOpen.length, run.progress);
    const quietly = { ...run, progress: undefined };
    await eachOf(quietly, entriesOpen, '', (text) =>
      inHand.during(text, `Judging ${placeOfEntry(text)}`, () => this.#askEntry(text, run)),
    );
    await eachOf(quietly, filesOpen, '', (path) =>
      inHand.during(path, `Reading ${path}`, () => this.#askFile(path, run)),
    );
    this.#tell('links', problemFindings(listingProblems(run.work), {}));
    this.#tell('waivers', await this.#waivers(run));
    const told = this.#untold;
    this.#untold = { results: new Map(), findings: new Map() };
    return told;
  }

  #takeEntries(entries: readonly string[]): void {
    if (entries !== this.#entries) {
      const now = new Set(entries);
      for (const text of this.#known) {
        if (now.has(text)) continue;
        this.#tellResult(text, undefined);
        this.#tell(text, []);
      }
      for (const text of now) if (!this.#known.has(text)) this.#open.entries.add(text);
      this.#entries = entries;
      this.#known = now;
    }
    // What is gone may have been marked as well.
    for (const text of this.#open.entries) if (!this.#known.has(text)) this.#open.entries.delete(text);
  }

  #takeFiles(files: ReadonlySet<string>): void {
    if (files !== this.#files) {
      for (const path of this.#files) if (!files.has(path)) this.#tell(`file ${path}`, []);
      for (const path of files) if (!this.#files.has(path)) this.#open.files.add(path);
      this.#files = files;
    }
    for (const path of this.#open.files) if (!files.has(path)) this.#open.files.delete(path);
  }

  async #askEntry(text: string, { read }: SessionRun): Promise<void> {
    const { result, problem } = await read.get(this.#reports.explained, text);
    this.#tellResult(text, result);
    this.#tell(text, result?.findings ?? (problem === undefined ? [] : problemFindings([problem], {})));
    this.#open.entries.delete(text);
  }

  async #askFile(path: string, { read }: SessionRun): Promise<void> {
    this.#tell(`file ${path}`, (await read.get(this.#reports.ofFile, path)).findings);
    this.#open.files.delete(path);
  }

  /** Waivers that have run out, each with how many findings it would cover: that alone needs all of them. */
  async #waivers({ queries, read }: SessionRun): Promise<readonly Finding[]> {
    const { config } = await read.get(queries.files.config, '');
    const today = await read.get(queries.judging.today, '');
    if (config.file !== REVIEW_CONFIG_PATH || !config.waivers.some((waiver) => isExpired(waiver, today))) return [];
    const all = [...this.#findings].flatMap(([source, findings]) => (source === 'waivers' ? [] : findings));
    return expiredWaivers(config, today, all);
  }

  #tellResult(text: string, result: JudgedResult | undefined): void {
    if (this.#results.get(text) === result) return;
    if (result === undefined) this.#results.delete(text);
    else this.#results.set(text, result);
    this.#untold.results.set(text, result);
  }

  #tell(source: string, findings: readonly Finding[]): void {
    const before = this.#findings.get(source);
    if (before === findings || (before === undefined && findings.length === 0)) return;
    if (findings.length === 0) this.#findings.delete(source);
    else this.#findings.set(source, findings);
    this.#untold.findings.set(source, findings);
  }
}
