import type { ChildProcessWithoutNullStreams } from 'node:child_process';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError } from '../../ports/repositoryFiles';
import type { GitCommand } from './gitCommand';

const LINE_FEED = 10;
/** Of an answer that nobody wants any more [bytes]: to pass over so much takes less than another process. */
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
    try {
      const size = await process.ask(id);
      if (size === undefined) throw missing(path);
      if (size > limit) {
        throw new FilePortError(
          'too-large',
          path,
          `has ${size} bytes, more than the ${limit} that such a file may have`,
        );
      }
      for await (const chunk of process.content()) {
        throwIfAborted(signal);
        yield chunk;
      }
    } finally {
      if (await process.isFree()) this.#idle.push(process);
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
  /** Bytes of the answer that are still to come; undefined between answers. */
  #left: number | undefined = undefined;
  #hasEnded = false;

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

  /** Size of the object's content, which comes next; undefined where it is not there, or the process ended over it. */
  async ask(id: string): Promise<number | undefined> {
    if (!/^[0-9a-f]{40,64}$/u.test(id)) throw new Error(`"${id}" is no object id.`);
    this.#child.stdin.write(`${id}\n`);
    const header = await this.#line();
    const match = header === undefined ? null : /^[0-9a-f]+ blob (\d+)$/u.exec(header);
    if (match !== null) this.#left = Number(match[1]);
    else if (header?.endsWith(' missing') !== true) this.#hasEnded = true; // what follows it is anybody's guess
    return this.#left;
  }

  /** What is left of the answer. */
  async *content(): AsyncIterable<Uint8Array> {
    for (let left = this.#left ?? 0; left > 0; left = this.#left) {
      if (this.#rest.length === 0 && !(await this.#more())) throw new Error('git ended in the middle of an object.');
      const part = this.#rest.subarray(0, left);
      this.#rest = this.#rest.subarray(part.length);
      this.#left = left - part.length;
      yield part;
    }
    await this.#line(); // the line break after the content
    this.#left = undefined;
  }

  /** Whether it can be asked for another object: little that is left of the last one is passed over. */
  async isFree(): Promise<boolean> {
    if (this.#hasEnded || (this.#left !== undefined && this.#left > MOST_PASSED_OVER)) return false;
    if (this.#left === undefined) return true;
    try {
      const chunks = this.content()[Symbol.asyncIterator]();
      while ((await chunks.next()).done !== true);
      return true;
    } catch {
      return false; // it ended over it
    }
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
    if (next.done === true) {
      this.#hasEnded = true;
      return false;
    }
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
