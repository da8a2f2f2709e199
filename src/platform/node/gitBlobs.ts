import type { ChildProcessWithoutNullStreams } from 'node:child_process';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError } from '../../ports/repositoryFiles';
import type { GitCommand } from './gitCommand';

const LINE_FEED = 10;
/** [bytes] */
const MOST_PASSED_OVER = 65536;

/**
 * Contents of objects, byte for byte, through `git cat-file --batch`: processes stay open and serve one object at a time; as many are
 * started as are read at once.
 */
export class GitBlobs {
  readonly #git: GitCommand;
  readonly #idle: BatchProcess[] = [];
  readonly #all = new Set<BatchProcess>();

  constructor(git: GitCommand) {
    this.#git = git;
  }

  /** Starts a process ahead of the first reading. */
  start(): void {
    this.#idle.push(this.#start());
  }

  /** @throws FilePortError `too-large` above `limit`, `not-found` where the clone lacks the object */
  async read(path: string, id: string, limit = Infinity): Promise<Uint8Array> {
    const parts: Uint8Array[] = [];
    for await (const chunk of this.open(path, id, undefined, limit)) parts.push(chunk);
    return Buffer.concat(parts);
  }

  async *open(
    path: string,
    id: string,
    signal: AbortSignalLike | undefined,
    limit = Infinity,
  ): AsyncIterable<Uint8Array> {
    throwIfAborted(signal);
    const process = this.#idle.pop() ?? this.#start();
    let whole = false;
    try {
      const size = await process.ask(id);
      if (size === undefined) throw missing(path);
      if (size > limit) {
        // The content comes all the same: to pass over a small one takes less than another process.
        whole = size <= MOST_PASSED_OVER;
        if (whole) await process.passOver(size);
        throw new FilePortError(
          'too-large',
          path,
          `has ${size} bytes, more than the ${limit} that such a file may have`,
        );
      }
      for await (const chunk of process.content(size)) {
        throwIfAborted(signal);
        yield chunk;
      }
      whole = true;
    } finally {
      // One that was left in the middle still holds the rest of its answer.
      if (whole) this.#idle.push(process);
      else this.#end(process);
    }
  }

  async close(): Promise<void> {
    const ended = [...this.#all].map((process) => process.end());
    this.#all.clear();
    this.#idle.length = 0;
    await Promise.all(ended);
  }

  #start(): BatchProcess {
    const process = new BatchProcess(this.#git.start('cat-file', ['--batch']));
    this.#all.add(process);
    return process;
  }

  #end(process: BatchProcess): void {
    this.#all.delete(process);
    void process.end();
  }
}

/** One running `cat-file --batch`. */
class BatchProcess {
  readonly #child: ChildProcessWithoutNullStreams;
  readonly #chunks: AsyncIterator<Buffer>;
  readonly #closed: Promise<void>;
  #rest: Buffer = Buffer.alloc(0);

  constructor(child: ChildProcessWithoutNullStreams) {
    this.#child = child;
    this.#chunks = child.stdout[Symbol.asyncIterator]() as AsyncIterator<Buffer>;
    child.stdin.on('error', () => undefined); // seen as the end of its output
    child.stderr.resume();
    this.#closed = new Promise((resolve) => {
      child.on('close', () => {
        resolve();
      });
      child.on('error', () => {
        resolve();
      });
    });
  }

  /** Size of the object's content; undefined where it is not there, or the process ended over it. */
  async ask(id: string): Promise<number | undefined> {
    if (!/^[0-9a-f]{40,64}$/u.test(id)) throw new Error(`"${id}" is no object id.`);
    this.#child.stdin.write(`${id}\n`);
    const header = await this.#line();
    const match = header === undefined ? null : /^[0-9a-f]+ blob (\d+)$/u.exec(header);
    return match === null ? undefined : Number(match[1]);
  }

  async *content(size: number): AsyncIterable<Uint8Array> {
    let left = size;
    while (left > 0) {
      if (this.#rest.length === 0 && !(await this.#more())) throw new Error('git ended in the middle of an object.');
      const part = this.#rest.subarray(0, left);
      this.#rest = this.#rest.subarray(part.length);
      left -= part.length;
      yield part;
    }
    await this.#line(); // the line break after the content
  }

  async passOver(size: number): Promise<void> {
    const chunks = this.content(size)[Symbol.asyncIterator]();
    while ((await chunks.next()).done !== true);
  }

  end(): Promise<void> {
    this.#child.stdin.end();
    this.#child.kill();
    return this.#closed;
  }

  async #line(): Promise<string | undefined> {
    let at = this.#rest.indexOf(LINE_FEED);
    while (at < 0) {
      if (!(await this.#more())) return undefined;
      at = this.#rest.indexOf(LINE_FEED);
    }
    const line = this.#rest.toString('utf8', 0, at);
    this.#rest = this.#rest.subarray(at + 1);
    return line;
  }

  async #more(): Promise<boolean> {
    const next = await this.#chunks.next();
    if (next.done === true) return false;
    this.#rest = this.#rest.length === 0 ? next.value : Buffer.concat([this.#rest, next.value]);
    return true;
  }
}

function missing(path: string): FilePortError {
  return new FilePortError(
    'not-found',
    path,
    'is not in this clone: it was made without this content (a partial clone), and nothing is fetched unasked',
  );
}
