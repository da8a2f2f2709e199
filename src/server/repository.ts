import type { Finding } from '../review/finding';
import type { JudgedResult, ReviewOutcome } from '../review/judgedResult';
import { ReviewSession } from '../session/reviewSession';
import { FolderUri } from './folderUri';
import { ReviewLoop } from './reviewLoop';
import type { OpenedPorts } from './serverPlatform';

export interface RepositoryEvents {
  /** A settled state was reviewed. @param files those whose findings may have changed */
  settled(repository: Repository, files: readonly string[]): void;
  failed(repository: Repository, error: unknown): void;
}

/** One damper-spec repository under review: its session, and what the last settled review found. */
export class Repository {
  readonly folder: FolderUri;
  readonly session: ReviewSession;
  readonly #opened: OpenedPorts;
  readonly #loop: ReviewLoop<ReviewOutcome>;
  #results: ReadonlyMap<string, JudgedResult> = new Map();
  #findings: ReadonlyMap<string, readonly Finding[]> = new Map();
  #whole: ReviewOutcome | undefined;

  constructor(root: string, opened: OpenedPorts, events: RepositoryEvents, quiet: number) {
    this.folder = new FolderUri(root);
    this.#opened = opened;
    this.session = new ReviewSession(opened.ports);
    this.#loop = new ReviewLoop({
      review: (signal) => this.session.review([], { signal }),
      settled: (outcome) => {
        events.settled(this, this.#take(outcome));
      },
      failed: (error) => {
        events.failed(this, error);
      },
      quiet,
    });
  }

  /** Lays the unsaved text of an editor over a file, or takes it away. */
  overlay(path: string, text: string | undefined): void {
    this.session.overlay(path, text);
    this.#loop.touch();
  }

  invalidate(paths: readonly string[]): void {
    this.session.invalidate(paths);
    this.#loop.touch();
  }

  whenSettled(): Promise<void> {
    return this.#loop.whenSettled();
  }

  /** The file as it is stored, whatever editors hold of it; undefined where it cannot be read. */
  async storedText(path: string, limit: number): Promise<string | undefined> {
    try {
      return new TextDecoder().decode(await this.#opened.ports.files.read(path, limit));
    } catch {
      return undefined;
    }
  }

  async has(path: string): Promise<boolean> {
    return (await this.#opened.ports.files.stat(path).catch(() => undefined)) !== undefined;
  }

  get outcome(): ReviewOutcome | undefined {
    return this.#whole;
  }

  /** Every judged result, failures first. */
  get results(): readonly JudgedResult[] {
    return this.#whole?.results ?? [];
  }

  /** The result of this file: committed, or of the run that this log belongs to. */
  resultOf(path: string): JudgedResult | undefined {
    return this.#results.get(path);
  }

  findingsOf(path: string): readonly Finding[] {
    return this.#findings.get(path) ?? [];
  }

  close(): void {
    this.#loop.close();
    this.#opened.close();
  }

  #take(outcome: ReviewOutcome): readonly string[] {
    const before = this.#findings;
    const findings = new Map<string, Finding[]>();
    for (const finding of outcome.findings) {
      const ofFile = findings.get(finding.file);
      if (ofFile === undefined) findings.set(finding.file, [finding]);
      else ofFile.push(finding);
    }
    const results = new Map<string, JudgedResult>();
    for (const result of outcome.results) for (const log of result.logs) results.set(log, result);
    for (const result of outcome.results) results.set(result.file, result);
    this.#whole = outcome;
    this.#results = results;
    this.#findings = findings;
    return [...new Set([...before.keys(), ...findings.keys()])];
  }
}
