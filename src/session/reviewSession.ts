import type { FileKind } from '../files/recognise';
import type { PlacedSpec } from '../files/spec';
import type { Finding } from '../review/finding';
import type { Comparison } from '../review/comparison';
import type { JudgedResult, ReviewOutcome } from '../review/judgedResult';
import type { ToldOutcome } from '../review/toldOutcome';
import type { AbortSignalLike } from '../ports/abort';
import { FilePortError } from '../ports/repositoryFiles';
import type { Gunzip, Progress } from '../ports/services';
import { portProblem } from './portProblems';
import { SessionFault } from './sessionFault';
import { compareTargets, targetOf, type Target } from './compareTargets';
import { correctTarget, type CorrectedResult } from './correctTarget';
import { KeptStore } from './keptStore';
import { LiveReview, type ReviewChanges } from './liveReview';
import type { Reader, Touch } from './query';
import { QueryEngine } from './queryEngine';
import { reduceRuns } from './reduceRuns';
import { reviewPaths } from './reviewPaths';
import type { SessionOptions, SessionPorts } from './sessionPorts';
import { SessionQueries } from './sessionQueries';
import { tellPaths } from './tellPaths';
import { ToldQueries, type ResultTeller } from './toldQueries';
import { WorkFiles } from './workFiles';

export interface RunOptions {
  readonly signal?: AbortSignalLike | undefined;
  readonly progress?: Progress | undefined;
  /** False where results may come without what explains their drift. */
  readonly explain?: boolean | undefined;
}

/** A result file that is ready to be written. */
export interface ReducedFile {
  readonly path: string;
  readonly bytes: Uint8Array;
  readonly result: JudgedResult;
}

/** What `reduce` gives: files to write, and what kept other logs from being reduced (exit status 2 where there is any). */
export interface ReduceOutcome {
  readonly written: readonly ReducedFile[];
  readonly problems: readonly Finding[];
}

/** What a run works with. */
export interface SessionRun {
  readonly queries: SessionQueries;
  readonly work: WorkFiles;
  readonly read: Reader;
  readonly parallel: number;
  readonly progress: Progress | undefined;
  readonly explain: boolean;
}

/**
 * The one door to a damper-spec repository, for every face. Remembers what it computed, so that one edit computes again only what rests on it.
 * Runs follow one another; changes named meanwhile take effect at the next one. Paths are those of the repository, '' for all of it.
 */
export class ReviewSession {
  readonly #work: WorkFiles;
  readonly #queries: SessionQueries;
  readonly #engine: QueryEngine;
  readonly #kept: KeptStore;
  #told: { readonly form: string; readonly queries: ToldQueries } | undefined;
  readonly #live: LiveReview;
  readonly #parallel: number;
  /** What it expands logs with. */
  readonly gunzip: Gunzip;

  constructor(ports: SessionPorts, options: SessionOptions = {}) {
    this.gunzip = ports.gunzip;
    this.#work = new WorkFiles(ports.files);
    this.#queries = new SessionQueries(this.#work, ports);
    this.#engine = new QueryEngine(this.#queries.named());
    this.#kept = new KeptStore(ports.kept, ports.digest);
    this.#live = new LiveReview(this.#queries.reports, this.#engine);
    this.#parallel = Math.max(1, options.parallel ?? 4);
  }

  /**
   * Judges every result and test log below the paths.
   * @throws SessionFault for a path that is not there, or where the folder itself cannot be listed; AbortedError
   */
  review(paths: readonly string[], options: RunOptions = {}): Promise<ReviewOutcome> {
    return this.#run(options, (run) => reviewPaths(run, paths));
  }

  /**
   * As `review`, with what a face tells of each result in its place. What was told before, by this process or an earlier one, is told again
   * where nothing that it rests on has changed, without judging anything.
   */
  async tell(teller: ResultTeller, paths: readonly string[], options: RunOptions = {}): Promise<ToldOutcome> {
    await this.#kept.load(this.#engine);
    const told = this.#toldBy(teller);
    const isWhole = paths.length === 0 || paths.includes('');
    const { outcome, kept } = await this.#run(options, async (run) => {
      return { outcome: await tellPaths(run, paths, told, teller), kept: this.#kept.draft(this.#engine, isWhole) };
    });
    await this.#kept.save(kept);
    return outcome;
  }

  #toldBy(teller: ResultTeller): ToldQueries {
    if (this.#told?.form !== teller.form)
      this.#told = { form: teller.form, queries: new ToldQueries(this.#queries.reports, teller) };
    return this.#told.queries;
  }

  /**
   * Judges the whole repository and answers with what is other than at the call before: everything at the first. What an edit does not
   * touch costs nothing. @throws as `review`; what a run that was given up had found is told by the next
   */
  reviewChanges(options: RunOptions = {}): Promise<ReviewChanges> {
    return this.#run(options, (run) => this.#live.update(run));
  }

  /**
   * The result files of the runs that the logs below the paths belong to: the same bytes whenever the same files give them. Writes nothing.
   * @throws as `review`
   */
  reduce(paths: readonly string[], options: RunOptions = {}): Promise<ReduceOutcome> {
    return this.run((run) => reduceRuns(run, paths), options);
  }

  /**
   * Holds b against a. Each is the path of a result, log, reference or folder, else `SERIAL/BUILD`.
   * @throws SessionFault where one names nothing or more than one thing; else as `review`
   */
  compare(a: string, b: string, options: RunOptions = {}): Promise<Comparison> {
    return this.run((run) => compareTargets(run, a, b), options);
  }

  /** One side of a comparison whose other side may be of another session, such as one on an older revision. @throws as `compare` */
  target(name: string, options: RunOptions = {}): Promise<Target> {
    return this.run((run) => targetOf(run, name), options);
  }

  /**
   * What explains the drift of one result, and clicks that mend it. Changes no verdict. The name is a result, a log, a folder that holds one of
   * them, or `SERIAL/BUILD`.
   * @throws SessionFault where it names nothing or more than one thing; else as `review`
   */
  correct(name: string, options: RunOptions = {}): Promise<CorrectedResult> {
    return this.run((run) => correctTarget(run, name), options);
  }

  /** One run of other work over the queries, such as that of holding two states against each other; what was kept is used. @throws as `review` */
  async run<Result>(work: (run: SessionRun) => Promise<Result>, options: RunOptions = {}): Promise<Result> {
    await this.#kept.load(this.#engine);
    return this.#run(options, work);
  }

  /** Every spec that can be read, by path. */
  specs(options: RunOptions = {}): Promise<readonly PlacedSpec[]> {
    return this.#run(options, async ({ queries, read }) => {
      const specs: PlacedSpec[] = [];
      for (const path of await read.get(queries.files.ofKind, 'spec')) {
        const { spec } = await read.get(queries.files.spec, path);
        if (spec !== undefined) specs.push(spec);
      }
      return specs;
    });
  }

  /** Paths of every file of a kind, sorted. */
  filesOf(kind: FileKind, options: RunOptions = {}): Promise<readonly string[]> {
    return this.#run(options, ({ queries, read }) => read.get(queries.files.ofKind, kind));
  }

  /** Lays an unsaved text over a file; undefined takes it away again. Takes effect at the next run. */
  overlay(path: string, text: string | undefined): void {
    this.#work.overlay(path, text);
  }

  /** Says that files or folders may have changed; an empty list means that anything may have. Takes effect at the next run. */
  invalidate(paths: readonly string[]): void {
    this.#work.invalidate(paths);
  }

  /** How often each query was computed since the session was made. */
  counts(): Record<string, number> {
    return this.#engine.counts();
  }

  async #run<Result>(
    { signal, progress, explain = true }: RunOptions,
    work: (run: SessionRun) => Promise<Result>,
  ): Promise<Result> {
    try {
      return await this.#engine.run(
        signal,
        (touch) => this.#applyChanges(touch, signal),
        (read) => work({ queries: this.#queries, work: this.#work, read, parallel: this.#parallel, progress, explain }),
      );
    } catch (error) {
      if (!(error instanceof FilePortError)) throw error;
      const { file, message, remedy } = portProblem(error);
      throw new SessionFault(`${file === '' ? 'The repository' : `"${file}"`}: ${message}`, remedy);
    }
  }

  async #applyChanges(touch: Touch, signal: AbortSignalLike | undefined): Promise<void> {
    const { files, logs, judging } = this.#queries;
    const { changed, setChanged } = await this.#work.refresh(signal);
    for (const path of changed) {
      touch(files.content, path);
      logs.fileChanged(path);
    }
    if (setChanged) touch(files.paths, '');
    touch(judging.today, '');
  }
}
