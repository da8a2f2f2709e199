import { createHash } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { WorkerOffload } from '../../src/platform/node/workerOffload';
import { RequestedFiles } from '../../src/platform/web/requestedFiles';
import type { LogAnswer, LogJob } from '../../src/server/logWorker';
import { AbortedError, type AbortSignalLike } from '../../src/ports/abort';
import type { Digest } from '../../src/ports/services';
import { digestOfSource } from '../../src/session/lineEndings';
import { bundled } from '../platform/bundled';
import { temporaryFolder } from '../platform/temporaryFolder';
import { LOGS, resultOf, SPECS, workshopFiles } from '../session/workshop';
import { ROOT, StartedServer } from './startedServer';

const MEBIBYTE = 1024 * 1024;

/** Says of one log that it is large. */
class FilesWithLargeLog extends MemoryFiles {
  override async list(under: string): ReturnType<MemoryFiles['list']> {
    const { files, problems } = await super.list(under);
    return {
      files: files.map((file) => (file.path === LOGS.two ? { ...file, size: 300 * MEBIBYTE } : file)),
      problems,
    };
  }
}

/** Rejects once the signal fires, as a worker's owner does. */
function abortOf(signal: AbortSignalLike | undefined): Promise<never> {
  return new Promise((_, reject) => {
    signal?.addEventListener('abort', () => {
      reject(new AbortedError());
    });
  });
}

it('answers while a large log is digested elsewhere, and hashes none of its bytes itself', async () => {
  const files = new FilesWithLargeLog(await workshopFiles());
  let release: () => void = () => undefined;
  const held = new Promise<void>((resolve) => (release = resolve));
  let asked: (path: string) => void = () => undefined;
  const first = new Promise<string>((resolve) => (asked = resolve));
  const hashedHere: string[] = [];
  const watchedDigest: Digest = {
    sha256: (bytes) => nodeDigest.sha256(bytes),
    begin: () => {
      const hash = nodeDigest.begin();
      return {
        update: (bytes) => {
          hash.update(bytes);
        },
        hex: async () => {
          const hex = await hash.hex();
          hashedHere.push(hex);
          return hex;
        },
      };
    },
  };
  const started = StartedServer.start({
    folders: new Map([[ROOT, files]]),
    ports: {
      digest: watchedDigest,
      digests: {
        run: async (path, signal) => {
          asked(path);
          await Promise.race([held, abortOf(signal)]);
          return digestOfSource(nodeDigest, path, files.open(path));
        },
      },
    },
    onMade: async (server) => {
      expect(await first).toBe(LOGS.two);
      // The review waits for the log; a question that does not rest on it is answered meanwhile.
      await server.open(SPECS.rear, 'purpose: ');
      const items = await server.client.sendRequest<readonly { label: string }[]>('textDocument/completion', {
        textDocument: { uri: server.uri(SPECS.rear) },
        position: { line: 0, character: 9 },
      });
      expect(items.map(({ label }) => label)).toEqual(['release', 'scrutineering']);
      expect(server.published).toBe(0);
      await server.close(SPECS.rear);
      release();
    },
  });
  const server = await started;
  expect(server.listed(resultOf(LOGS.two)).join()).toContain('drift-from-reference');
  const digestOf = (path: string): Promise<string> => digestOfSource(nodeDigest, path, files.open(path));
  expect(hashedHere).toContain(await digestOf(LOGS.one));
  expect(hashedHere).not.toContain(await digestOf(LOGS.two));
  await server.stop();
});

it('digests in the worker thread as everywhere else: CRLF counts as LF', async () => {
  const folder = temporaryFolder();
  const text = '1.5,2.25,-3\r\n'.repeat(250_000);
  writeFileSync(join(folder, 'large.testlog.csv'), text);
  const worker = await bundled(folder, 'worker', "import './src/server/logWorker';");
  const offload = new WorkerOffload<LogJob, LogAnswer>(pathToFileURL(worker));
  try {
    expect(await offload.run({ root: folder, digest: 'large.testlog.csv' })).toBe(
      createHash('sha256').update(text.replaceAll('\r\n', '\n')).digest('hex'),
    );
    const controller = new AbortController();
    const given = offload.run({ root: folder, digest: 'large.testlog.csv' }, controller.signal);
    controller.abort();
    await expect(given).rejects.toThrow('cancelled');
  } finally {
    await offload.close();
  }
});

it('gives the turn to others while it hands out a file that came whole through messages', async () => {
  const bytes = new Uint8Array(5 * MEBIBYTE);
  const files = new RequestedFiles(
    {
      list: () => Promise.reject(new Error('not asked')),
      stat: () => Promise.resolve({ size: bytes.length, modified: 0 }),
      read: () => Promise.resolve(bytes),
    },
    (path) => path,
  );
  let turns = 0;
  const counting = setInterval(() => (turns += 1), 0);
  let length = 0;
  for await (const piece of files.open('large.testlog.csv')) length += piece.length;
  clearInterval(counting);
  expect(length).toBe(bytes.length);
  expect(turns).toBeGreaterThanOrEqual(3);
});
