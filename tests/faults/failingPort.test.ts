import { describe, expect, it } from 'vitest';
import { AbortedError, type AbortSignalLike } from '../../src/ports/abort';
import { FilePortError, type RepositoryFiles } from '../../src/ports/repositoryFiles';
import { deepEqual } from '../../src/session/deepEqual';
import { SessionFault } from '../../src/session/sessionFault';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { openSession, workshopFiles } from '../session/workshop';
import { thorough } from '../thorough';

/** Fails at one call, counted over everything that the port does; a chunk handed out counts as a call. */
class FailingFiles implements RepositoryFiles {
  calls = 0;
  failedAt = '';
  failedIn = '';
  constructor(
    private readonly inner: RepositoryFiles,
    private failing: number,
    private readonly errorFor: (path: string) => Error,
  ) {}

  heal(): void {
    this.failing = Infinity;
  }

  async list(under: string, signal?: AbortSignalLike) {
    this.count(under);
    return this.inner.list(under, signal);
  }

  async stat(path: string) {
    this.count(path, 'stat');
    return this.inner.stat(path);
  }

  async read(path: string, limit?: number) {
    this.count(path);
    return this.inner.read(path, limit);
  }

  async *open(path: string, signal?: AbortSignalLike) {
    this.count(path);
    for await (const chunk of this.inner.open(path, signal)) {
      yield chunk;
      this.count(path);
    }
  }

  private count(path: string, call = 'list or read'): void {
    this.calls += 1;
    if (this.calls !== this.failing) return;
    this.failedAt = path;
    this.failedIn = call;
    throw this.errorFor(path);
  }
}

const STRIDE = thorough ? 1 : 13;
const files = new MemoryFiles(await workshopFiles(), 80_000);
const good = await openSession(files).session.review([]);
const goodResults = await openSession(files).session.reduce(['']);
const ERRORS: readonly (readonly [string, (path: string) => Error])[] = [
  ['a failing disk', (path) => new FilePortError('io', path, 'could not be used: the disk failed')],
  ['a file that vanishes', (path) => new FilePortError('not-found', path, 'does not exist')],
  ['an error of no known kind', () => new Error('something else')],
];

async function callsOf(work: (port: FailingFiles) => Promise<unknown>): Promise<number> {
  const port = new FailingFiles(files, Infinity, () => new Error());
  await work(port);
  return port.calls;
}

describe.each(ERRORS)('%s', (_, errorFor) => {
  it('is told at every call of a review, and forgotten when it is over', async () => {
    const total = await callsOf((port) => openSession(files, { files: port }).session.review([]));
    expect(total).toBeGreaterThan(30);
    for (let failing = 1; failing <= total; failing += STRIDE) {
      const port = new FailingFiles(files, failing, errorFor);
      const { session } = openSession(files, { files: port });
      const told = await session.review([]).then(
        (outcome) => {
          // A look at a log after it was read decides only whether its reduction is stored: then all is as without the fault.
          if (port.failedIn === 'stat' && deepEqual(outcome, good)) return [port.failedAt];
          // Which reads come last is a matter of order: all that count is that the fault is seen.
          expect([failing, outcome.unreadable]).toEqual([failing, true]);
          return outcome.findings.filter((finding) => finding.rule === 'unreadable').map((finding) => finding.file);
        },
        (error: unknown) => {
          const known = error instanceof SessionFault || (error instanceof Error && error.message === 'something else');
          expect([failing, known]).toEqual([failing, true]);
          return [port.failedAt];
        },
      );
      expect(told).toContain(port.failedAt);
      port.heal();
      expect([failing, deepEqual(await session.review([]), good)]).toEqual([failing, true]);
    }
  });

  it('keeps reduce from giving a wrong file', async () => {
    const total = await callsOf((port) => openSession(files, { files: port }).session.reduce(['']));
    const expected = new Map(goodResults.written.map(({ path, bytes }) => [path, bytes]));
    for (let failing = 1; failing <= total; failing += STRIDE) {
      const port = new FailingFiles(files, failing, errorFor);
      const { session } = openSession(files, { files: port });
      const outcome = await session.reduce(['']).catch((error: unknown) => error as Error);
      if (outcome instanceof Error) continue;
      const wrong = outcome.written.filter(({ path, bytes }) => Buffer.compare(bytes, expected.get(path)!) !== 0);
      expect([failing, wrong.map(({ path }) => path)]).toEqual([failing, []]);
      if (outcome.written.length < expected.size)
        expect([failing, outcome.problems.length > 0]).toEqual([failing, true]);
      port.heal();
      const again = await session.reduce(['']);
      expect(again.written.every(({ path, bytes }) => Buffer.compare(bytes, expected.get(path)!) === 0)).toBe(true);
      expect(again.written).toHaveLength(expected.size);
    }
  });
});

describe('an abort', () => {
  it('at every call leaves nothing behind', async () => {
    const total = await callsOf((port) => openSession(files, { files: port }).session.review([]));
    for (let failing = 1; failing <= total; failing += STRIDE) {
      const controller = new AbortController();
      const port = new FailingFiles(files, failing, () => {
        controller.abort();
        return new AbortedError();
      });
      const { session } = openSession(files, { files: port });
      await expect(session.review([], { signal: controller.signal })).rejects.toBeInstanceOf(AbortedError);
      port.heal();
      expect([failing, deepEqual(await session.review([]), good)]).toEqual([failing, true]);
    }
  });
});

describe('a worker that fails', () => {
  it('is told of its log, and the others are judged', async () => {
    const { session } = openSession(files, {
      logs: { run: (request) => Promise.reject(new Error(`no thread for ${request.file}`)) },
    });
    const outcome = await session.review([]);
    expect(outcome.unreadable).toBe(true);
    expect(outcome.results).toHaveLength(4);
    expect(outcome.findings.filter((finding) => finding.rule === 'unreadable')).toHaveLength(4);
  });
});
