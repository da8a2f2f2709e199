import { MessageChannel, type MessagePort } from 'node:worker_threads';
import { AbortedError, throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import type { RepositoryFiles } from '../../ports/repositoryFiles';
import { fromPlainError, toPlainError, type PlainError } from './workerMessages';

/** What reading a file chunk by chunk takes. */
export type OpenedFiles = Pick<RepositoryFiles, 'open'>;

/** From the thread that reads a lent file. `id` is of one opening. */
type Asked =
  | { readonly kind: 'open'; readonly id: number; readonly path: string }
  | { readonly kind: 'next'; readonly id: number }
  | { readonly kind: 'leave'; readonly id: number };

/** From the thread that has it. */
type Given =
  | { readonly kind: 'chunk'; readonly id: number; readonly bytes: Uint8Array }
  | { readonly kind: 'end'; readonly id: number }
  | { readonly kind: 'failed'; readonly id: number; readonly error: PlainError };

interface Lending {
  readonly controller: AbortController;
  readonly chunks: AsyncIterator<Uint8Array>;
}

/**
 * Files that only this thread reaches, such as those of a git revision, for a worker thread to read: their bytes go over one chunk at a
 * time, as the worker asks for them, and nothing of them is kept or written anywhere.
 */
export class LentFiles {
  /** For the worker, as part of a message and in its list of what is handed over. */
  readonly port: MessagePort;
  readonly #own: MessagePort;
  readonly #files: OpenedFiles;
  readonly #open = new Map<number, Lending>();

  constructor(files: OpenedFiles) {
    const { port1, port2 } = new MessageChannel();
    this.#own = port1;
    this.port = port2;
    this.#files = files;
    port1.on('message', (asked: Asked) => {
      this.#answer(asked);
    });
  }

  /** Ends every reading; the worker's own come to AbortedError. */
  close(): void {
    for (const id of [...this.#open.keys()]) this.#leave(id);
    this.#own.close();
  }

  #answer(asked: Asked): void {
    const { id } = asked;
    if (asked.kind === 'leave') {
      this.#leave(id);
      return;
    }
    if (asked.kind === 'open') {
      const controller = new AbortController();
      const chunks = this.#files.open(asked.path, controller.signal)[Symbol.asyncIterator]();
      this.#open.set(id, { controller, chunks });
      return;
    }
    const lending = this.#open.get(id);
    if (lending !== undefined) void this.#give(id, lending);
  }

  async #give(id: number, { chunks }: Lending): Promise<void> {
    try {
      const next = await chunks.next();
      if (next.done === true) {
        this.#open.delete(id);
        this.#post({ kind: 'end', id });
        return;
      }
      // A view would take all that it is a view of along.
      const bytes = new Uint8Array(next.value);
      this.#post({ kind: 'chunk', id, bytes }, bytes.buffer);
    } catch (error) {
      this.#open.delete(id);
      this.#post({ kind: 'failed', id, error: toPlainError(error) });
    }
  }

  #post(given: Given, bytes?: ArrayBuffer): void {
    this.#own.postMessage(given, bytes === undefined ? [] : [bytes]);
  }

  #leave(id: number): void {
    const lending = this.#open.get(id);
    this.#open.delete(id);
    lending?.controller.abort();
    void lending?.chunks.return?.().catch(() => undefined);
  }
}

interface Waiting {
  resolve(given: Given): void;
  reject(error: Error): void;
}

/** The worker's side of {@link LentFiles}. */
export class BorrowedFiles implements OpenedFiles {
  readonly #port: MessagePort;
  readonly #waiting = new Map<number, Waiting>();
  #lastId = 0;
  #closed = false;

  constructor(port: MessagePort) {
    this.#port = port;
    port.on('message', (given: Given) => {
      this.#waiting.get(given.id)?.resolve(given);
    });
    port.on('close', () => {
      this.#closed = true;
      for (const waiting of this.#waiting.values()) waiting.reject(new AbortedError());
    });
  }

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    throwIfAborted(signal);
    this.#lastId += 1;
    const id = this.#lastId;
    this.#ask({ kind: 'open', id, path });
    try {
      for (;;) {
        const given = await this.#next(id, signal);
        if (given.kind === 'end') return;
        if (given.kind === 'failed') throw fromPlainError(given.error);
        yield given.bytes;
      }
    } finally {
      this.#ask({ kind: 'leave', id });
    }
  }

  close(): void {
    this.#port.close();
  }

  async #next(id: number, signal: AbortSignalLike | undefined): Promise<Given> {
    throwIfAborted(signal);
    if (this.#closed) throw new AbortedError();
    let stop: () => void = () => undefined;
    try {
      return await new Promise<Given>((resolve, reject) => {
        stop = () => {
          reject(new AbortedError());
        };
        signal?.addEventListener('abort', stop);
        this.#waiting.set(id, { resolve, reject });
        this.#ask({ kind: 'next', id });
      });
    } finally {
      signal?.removeEventListener('abort', stop);
      this.#waiting.delete(id);
    }
  }

  /** Into a port that was closed at its other end a message falls silently. */
  #ask(asked: Asked): void {
    this.#port.postMessage(asked);
  }
}
