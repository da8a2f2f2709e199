import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { MessagePort } from 'node:worker_threads';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { LentFiles, type OpenedFiles } from '../../src/platform/node/lentFiles';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { WorkerOffload } from '../../src/platform/node/workerOffload';
import { AbortedError, type AbortSignalLike } from '../../src/ports/abort';
import { FilePortError } from '../../src/ports/repositoryFiles';
import { bundled } from './bundled';

interface Request {
  readonly lent?: MessagePort;
  /** Each is read to its end, all at once. */
  readonly paths: readonly string[];
  /** After so many chunks the reader leaves. */
  readonly most?: number;
}

const ENTRY = `
import { createHash } from 'node:crypto';
import { BorrowedFiles } from './src/platform/node/lentFiles';
import { serveWorker } from './src/platform/node/logWorker';
let underWay = 0;
serveWorker(async ({ lent, paths, most }, signal) => {
  if (lent === undefined) return underWay;
  const borrowed = new BorrowedFiles(lent);
  underWay += 1;
  try {
    return await Promise.all(paths.map(async (path) => {
      const hash = createHash('sha256');
      let chunks = 0;
      for await (const chunk of borrowed.open(path, signal)) {
        hash.update(chunk);
        chunks += 1;
        if (chunks === most) return 'left';
      }
      return hash.digest('hex');
    }));
  } finally {
    underWay -= 1;
    borrowed.close();
  }
});`;

let folder: string;
let offload: WorkerOffload<Request, unknown>;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'damper-review-lent-'));
  offload = new WorkerOffload(pathToFileURL(await bundled(folder, 'entry', ENTRY)), 1);
});
afterAll(async () => {
  await offload.close();
  rmSync(folder, { recursive: true });
});

const loans: LentFiles[] = [];
afterEach(() => {
  for (const loan of loans.splice(0)) loan.close();
});

function read(files: OpenedFiles, paths: readonly string[], more: { most?: number; signal?: AbortSignal } = {}) {
  const loan = new LentFiles(files);
  loans.push(loan);
  const { most, signal } = more;
  const request = { lent: loan.port, paths, ...(most !== undefined && { most }) };
  return { loan, answer: offload.run(request, signal, [loan.port]) };
}

/** Files without end, whose readings tell how they ended. */
class EndlessFiles implements OpenedFiles {
  given = 0;
  readonly ended: string[] = [];

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    try {
      for (;;) {
        yield await Promise.resolve(Uint8Array.of(1, 2, 3));
        this.given += 1;
        await new Promise((resolve) => setTimeout(resolve, 1));
      }
    } finally {
      this.ended.push(`${path} ${String(signal?.aborted)}`);
    }
  }
}

describe('a file that is lent to a worker thread', () => {
  it('arrives byte for byte, several at once, and stays whole here', async () => {
    const bytes = Uint8Array.from({ length: 700_000 }, (_, i) => (i * 7919) % 251);
    // Views of one buffer, as a port hands out that has all the bytes.
    const viewed: OpenedFiles = {
      open: async function* (path) {
        for (let at = path.length; at < bytes.length; at += 70_001)
          yield await Promise.resolve(bytes.subarray(at, at + 70_001));
      },
    };
    const sums = await Promise.all(['a', 'bb'].map((path) => nodeDigest.sha256(bytes.subarray(path.length))));
    expect(await read(viewed, ['a', 'bb']).answer).toEqual(sums);
    expect(await read(viewed, ['a', 'bb']).answer).toEqual(sums);
  });

  it('brings the fault of the port over as what it is', async () => {
    const { answer } = read(new MemoryFiles(), ['none.csv']);
    await expect(answer).rejects.toBeInstanceOf(FilePortError);
    await expect(answer).rejects.toMatchObject({ code: 'not-found', path: 'none.csv' });
  });

  it('is let go where the reader leaves, is aborted, or the loan ends, and the thread is free again', async () => {
    const left = new EndlessFiles();
    expect(await read(left, ['a'], { most: 3 }).answer).toEqual(['left']);
    await expect.poll(() => left.ended).toEqual(['a true']);

    const aborted = new EndlessFiles();
    const controller = new AbortController();
    const { answer } = read(aborted, ['b'], { signal: controller.signal });
    await expect.poll(() => aborted.given).toBeGreaterThan(1);
    controller.abort();
    await expect(answer).rejects.toBeInstanceOf(AbortedError);
    await expect.poll(() => aborted.ended).toEqual(['b true']);

    const ended = new EndlessFiles();
    const loan = read(ended, ['c']);
    await expect.poll(() => ended.given).toBeGreaterThan(1);
    loan.loan.close();
    await expect(loan.answer).rejects.toBeInstanceOf(AbortedError);
    await expect.poll(() => ended.ended).toEqual(['c true']);
    expect(await offload.run({ paths: [] })).toBe(0);
  });
});
