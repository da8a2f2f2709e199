import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { AbortedError } from '../../src/ports/abort';
import { FilePortError } from '../../src/ports/repositoryFiles';
import { WorkerOffload } from '../../src/platform/node/workerOffload';
import { bundled } from './bundled';

type Request = { readonly wait?: number; readonly fail?: string; readonly value?: unknown; readonly end?: boolean };

const ENTRY = `
import { serveWorker } from './src/platform/node/logWorker';
import { FilePortError } from './src/ports/repositoryFiles';
import { AbortedError } from './src/ports/abort';
let underWay = 0;
serveWorker(async (request, signal) => {
  if (request.end) process.exit(3);
  if (request.fail === 'file') throw new FilePortError('too-large', 'a.csv', 'is large');
  if (request.fail !== undefined) throw new Error(request.fail);
  underWay += 1;
  for (let i = 0; i < (request.wait ?? 0); i++) {
    await new Promise((resolve) => setTimeout(resolve, 5));
    if (signal.aborted) { underWay -= 1; throw new AbortedError(); }
  }
  underWay -= 1;
  return { value: request.value, underWay };
});`;

let folder: string;
let entry: URL;
const open: WorkerOffload<Request, { value: unknown; underWay: number }>[] = [];
function offload(threads = 1): WorkerOffload<Request, { value: unknown; underWay: number }> {
  const made = new WorkerOffload<Request, { value: unknown; underWay: number }>(entry, threads);
  open.push(made);
  return made;
}

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'damper-review-worker-'));
  entry = pathToFileURL(await bundled(folder, 'entry', ENTRY));
});
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});

describe('work in a thread', () => {
  it('sends plain data and typed arrays there and back, and queues what is more than the threads', async () => {
    const pool = offload(2);
    const values = await Promise.all(
      Array.from({ length: 7 }, (_, i) => pool.run({ value: Float64Array.of(i, NaN), wait: i % 3 })),
    );
    expect(values.map(({ value }) => value)).toEqual(Array.from({ length: 7 }, (_, i) => Float64Array.of(i, NaN)));
  });

  it('brings errors over as what they were', async () => {
    const pool = offload();
    await expect(pool.run({ fail: 'file' })).rejects.toMatchObject({ code: 'too-large', path: 'a.csv' });
    await expect(pool.run({ fail: 'file' })).rejects.toBeInstanceOf(FilePortError);
    await expect(pool.run({ fail: 'out of luck' })).rejects.toThrow('out of luck');
    expect(await pool.run({ value: 1 })).toEqual({ value: 1, underWay: 0 });
  });

  it('rejects at once when aborted, before, waiting and under way, and the job stops', async () => {
    const pool = offload();
    await expect(pool.run({ value: 1 }, AbortSignal.abort())).rejects.toBeInstanceOf(AbortedError);
    const running = new AbortController();
    const waiting = new AbortController();
    const first = pool.run({ wait: 100_000 }, running.signal);
    const second = pool.run({ wait: 100_000 }, waiting.signal);
    const third = pool.run({ value: 'third' });
    waiting.abort();
    await expect(second).rejects.toBeInstanceOf(AbortedError);
    running.abort();
    await expect(first).rejects.toBeInstanceOf(AbortedError);
    expect((await third).value).toBe('third');
    await expect.poll(async () => (await pool.run({ value: 'look' })).underWay).toBe(0);
  });

  it('reports a thread that dies, and goes on with a new one', async () => {
    const pool = offload();
    await expect(pool.run({ end: true })).rejects.toThrow('ended before its answer');
    expect((await pool.run({ value: 2 })).value).toBe(2);
  });

  it('reports what cannot be sent, and a worker that does not load', async () => {
    const pool = offload();
    await expect(pool.run({ value: () => 1 })).rejects.toThrow('could not be cloned');
    expect((await pool.run({ value: 3 })).value).toBe(3);
    const broken = new WorkerOffload<Request, unknown>(pathToFileURL(join(folder, 'none.mjs')), 1);
    await expect(broken.run({})).rejects.toThrow();
    await broken.close();
  });

  it('does not keep a process alive when idle', async () => {
    const script = await bundled(
      folder,
      'idle',
      `import { WorkerOffload } from './src/platform/node/workerOffload';
       const pool = new WorkerOffload(new URL(${JSON.stringify(String(entry))}), 1);
       console.log((await pool.run({ value: 'done', wait: 2 })).value);`,
    );
    expect(execFileSync(process.execPath, [script], { encoding: 'utf8', timeout: 60_000 })).toBe('done\n');
  });

  it('rejects what is under way or waiting when closed', async () => {
    const pool = offload();
    const first = pool.run({ wait: 100_000 });
    const second = pool.run({ value: 1 });
    const both = Promise.allSettled([first, second]);
    await pool.close();
    expect((await both).map((one) => one.status)).toEqual(['rejected', 'rejected']);
    await expect(pool.run({})).rejects.toThrow('closed');
  });
});
