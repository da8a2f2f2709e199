import { availableParallelism } from 'node:os';
import { Worker, type Transferable } from 'node:worker_threads';
import { AbortedError, throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import type { Offload } from '../../ports/services';
import { fromPlainError, type FromWorker, type ToWorker } from './workerMessages';

interface Job {
  readonly id: number;
  readonly request: unknown;
  readonly handedOver: readonly Transferable[];
  readonly resolve: (result: unknown) => void;
  readonly reject: (error: Error) => void;
}

/** A thread and the one job it is at. */
class Thread {
  job: Job | undefined;

  constructor(
    readonly worker: Worker,
    onFree: () => void,
    onGone: (thread: Thread) => void,
  ) {
    worker.on('message', (message: FromWorker) => {
      const { job } = this;
      if (job?.id !== message.id) return; // the answer to a job that was given up
      this.job = undefined;
      if (message.kind === 'done') job.resolve(message.result);
      else job.reject(fromPlainError(message.error));
      onFree();
    });
    worker.on('error', (error) => {
      this.#fail(error instanceof Error ? error : new Error(String(error)));
    });
    worker.on('exit', () => {
      onGone(this);
      this.#fail(new Error('The worker thread ended before its answer.'));
      onFree();
    });
  }

  #fail(error: Error): void {
    this.job?.reject(error);
    this.job = undefined;
  }
}

/**
 * Runs jobs in worker threads, one job a thread, the rest in a queue. Written on node:worker_threads itself: the entry is
 * an ES module of our own bundle, and an abort lets the job close its file before the thread takes the next.
 * Threads start when first needed and keep the process alive only while they work.
 */
export class WorkerOffload<Request, Result> implements Offload<Request, Result> {
  readonly #entry: URL;
  readonly #limit: number;
  readonly #threads = new Set<Thread>();
  readonly #queue: Job[] = [];
  #lastId = 0;
  #closed = false;

  /** @param entry the worker's file, which calls `serveWorker`; @param threads at most this many, by default one less than the machine has cores */
  constructor(entry: URL, threads = Math.max(1, Math.min(4, availableParallelism() - 1))) {
    this.#entry = entry;
    this.#limit = threads;
  }

  /** @param handedOver what of the request the thread gets itself, not a copy */
  async run(request: Request, signal?: AbortSignalLike, handedOver: readonly Transferable[] = []): Promise<Result> {
    throwIfAborted(signal);
    if (this.#closed) throw new Error('The worker threads were closed.');
    this.#lastId += 1;
    const id = this.#lastId;
    const onAbort = (): void => {
      this.#abort(id);
    };
    signal?.addEventListener('abort', onAbort);
    try {
      return (await new Promise<unknown>((resolve, reject) => {
        this.#queue.push({ id, request, handedOver, resolve, reject });
        this.#dispatch();
      })) as Result;
    } finally {
      signal?.removeEventListener('abort', onAbort);
    }
  }

  /** Ends every thread; jobs under way are rejected. */
  async close(): Promise<void> {
    this.#closed = true;
    for (const job of this.#queue.splice(0)) job.reject(new AbortedError());
    await Promise.all([...this.#threads].map((thread) => thread.worker.terminate()));
  }

  #dispatch(): void {
    while (this.#queue.length > 0) {
      const thread = [...this.#threads].find((one) => one.job === undefined) ?? this.#start();
      if (thread === undefined) return;
      const job = this.#queue.shift()!;
      try {
        this.#send(thread, { kind: 'run', id: job.id, request: job.request }, job.handedOver);
        thread.job = job;
        thread.worker.ref();
      } catch (error) {
        thread.worker.unref();
        job.reject(error instanceof Error ? error : new Error(String(error))); // a request that is no plain data
      }
    }
  }

  #start(): Thread | undefined {
    if (this.#closed || this.#threads.size >= this.#limit) return undefined;
    const onFree = (): void => {
      for (const one of this.#threads) if (one.job === undefined) one.worker.unref();
      this.#dispatch();
    };
    const thread = new Thread(new Worker(this.#entry), onFree, (gone) => this.#threads.delete(gone));
    this.#threads.add(thread);
    return thread;
  }

  /** The caller hears at once; the thread is free for the next job when the old one has answered. */
  #abort(id: number): void {
    const waiting = this.#queue.findIndex((job) => job.id === id);
    if (waiting >= 0) {
      for (const job of this.#queue.splice(waiting, 1)) job.reject(new AbortedError());
      return;
    }
    for (const thread of this.#threads) {
      if (thread.job?.id !== id) continue;
      thread.job.reject(new AbortedError());
      this.#send(thread, { kind: 'abort', id });
    }
  }

  #send(thread: Thread, message: ToWorker, handedOver: readonly Transferable[] = []): void {
    thread.worker.postMessage(message, handedOver);
  }
}
