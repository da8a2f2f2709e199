import { AbortedError, throwIfAborted, type AbortSignalLike } from '../ports/abort';

interface Job<Result> {
  readonly state: string;
  readonly controller: AbortController;
  readonly outcome: Promise<Result>;
  done: boolean;
  /** How many wait for it. */
  waiting: number;
}

/** More finished jobs that nobody has taken are not kept: who asks for an older one has it done again. */
const MOST_KEPT = 8;

/**
 * Long jobs that outlive the run which asked for them. A run that is given up leaves its job going; the next run that asks for the same
 * subject in the same state joins it, or takes what it gave meanwhile. There is one job a subject: another state ends the older one.
 */
export class KeptJobs<Result> {
  readonly #jobs = new Map<string, Job<Result>>();
  readonly #underWay: Set<string>;
  readonly #mostKept: number;
  #closed = false;

  /** @param underWay holds the subjects that are worked on, in the order that they were begun */
  constructor(underWay = new Set<string>(), mostKept = MOST_KEPT) {
    this.#underWay = underWay;
    this.#mostKept = mostKept;
  }

  /**
   * @param subject what the job is about, such as a path
   * @param state of the subject: equal only where the outcome is the same
   * @param work started with a signal of its own, which fires when nobody can want the job any more
   * @param signal of this asker alone: it hears AbortedError at once, and the job goes on
   * @throws AbortedError also where the job was ended; what `work` throws goes to those who wait, and is not kept
   */
  async run(
    subject: string,
    state: string,
    work: (signal: AbortSignalLike) => Promise<Result>,
    signal: AbortSignalLike | undefined,
  ): Promise<Result> {
    throwIfAborted(signal);
    if (this.#closed) throw new AbortedError();
    const job = this.#jobOf(subject, state, work);
    job.waiting += 1;
    try {
      const result = await untilAborted(job.outcome, signal);
      this.#drop(subject, job); // taken
      return result;
    } finally {
      job.waiting -= 1;
      this.#letGoOfOldest();
    }
  }

  /** Ends the job on a subject, and lets go of its outcome: the subject is another now, or gone. */
  end(subject: string): void {
    const job = this.#jobs.get(subject);
    if (job === undefined) return;
    this.#jobs.delete(subject);
    this.#underWay.delete(subject);
    job.controller.abort();
  }

  /** Ends all of them; who asks again has it begun again. */
  stop(): void {
    for (const subject of [...this.#jobs.keys()]) this.end(subject);
  }

  /** Ends all of them, and takes no more. */
  close(): void {
    this.#closed = true;
    this.stop();
  }

  #jobOf(subject: string, state: string, work: (signal: AbortSignalLike) => Promise<Result>): Job<Result> {
    const known = this.#jobs.get(subject);
    if (known?.state === state) return known;
    this.end(subject);
    const controller = new AbortController();
    const job: Job<Result> = { state, controller, outcome: work(controller.signal), done: false, waiting: 0 };
    this.#jobs.set(subject, job);
    this.#underWay.add(subject);
    job.outcome.then(
      () => {
        job.done = true;
        if (this.#jobs.get(subject) === job) this.#underWay.delete(subject);
        this.#letGoOfOldest();
      },
      () => {
        if (this.#jobs.get(subject) === job) this.#underWay.delete(subject);
        this.#drop(subject, job);
      },
    );
    return job;
  }

  #drop(subject: string, job: Job<Result>): void {
    if (this.#jobs.get(subject) === job) this.#jobs.delete(subject);
  }

  #letGoOfOldest(): void {
    const done = [...this.#jobs].filter(([, job]) => job.done && job.waiting === 0);
    for (const [subject] of done.slice(0, Math.max(0, done.length - this.#mostKept))) this.#jobs.delete(subject);
  }
}

function untilAborted<Result>(outcome: Promise<Result>, signal: AbortSignalLike | undefined): Promise<Result> {
  if (signal === undefined) return outcome;
  return new Promise((resolve, reject) => {
    const onAbort = (): void => {
      reject(new AbortedError());
    };
    signal.addEventListener('abort', onAbort);
    void outcome.then(resolve, reject).finally(() => {
      signal.removeEventListener('abort', onAbort);
    });
  });
}
