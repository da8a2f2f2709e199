import { readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { afterEach, describe, expect, it } from 'vitest';
import { webGunzip } from '../../src/platform/web/webGunzip';
import { MOST_REQUESTED_BYTES, RequestedFiles } from '../../src/platform/web/requestedFiles';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { LOGS, resultOf, workshopFiles } from '../session/workshop';
import { ROOT, StartedServer } from './startedServer';

let server: StartedServer | undefined;
afterEach(async () => {
  await server?.stop();
  server = undefined;
});

describe('a server without a disk', () => {
  it('reads files as large as the manifest says', () => {
    const manifest = JSON.parse(readFileSync('package.json', 'utf8')) as {
      readonly capabilities: { readonly virtualWorkspaces: { readonly description: string } };
    };
    const figures = manifest.capabilities.virtualWorkspaces.description.match(/\d+ [KMG]i?B/g);
    expect(figures).toEqual([`${MOST_REQUESTED_BYTES / 1024 / 1024} MiB`]);
  });

  it('asks its client for files and gives the same diagnostics as one with a disk', async () => {
    server = await StartedServer.start();
    const expected = new Map(server.shown);
    await server.stop();
    server = undefined;
    server = await StartedServer.start({ browser: true });
    expect(new Map(server.shown)).toEqual(expected);
    expect(server.listed(resultOf(LOGS.two)).join()).toContain('drift-from-reference');
  });

  it('reads a packed log, whose result does not change with its packing', async () => {
    const packed = 'dampers/F-002/build-1/two.testlog.csv.gz';
    const files = new MemoryFiles(await workshopFiles());
    files.set(packed, gzipSync(await files.read(LOGS.two)));
    files.remove(LOGS.two);
    files.remove(resultOf(LOGS.two));
    server = await StartedServer.start({ browser: true, folders: new Map([[ROOT, files]]) });
    expect(server.diagnostics(packed).map(({ code }) => code)).toContain('drift-from-reference');
  });

  it('says of a damaged packed log that it is damaged', async () => {
    const packed = 'dampers/F-002/build-1/two.testlog.csv.gz';
    const files = new MemoryFiles(await workshopFiles());
    files.set(packed, gzipSync(await files.read(LOGS.two)).subarray(0, 2000));
    server = await StartedServer.start({ browser: true, folders: new Map([[ROOT, files]]) });
    expect(server.diagnostics(packed)[0]!.message).toMatch(/damaged or cut off/);
  });
});

describe('files by requests', () => {
  it('does not believe a client that names paths outside of the folder', async () => {
    const files = new RequestedFiles(
      {
        list: () =>
          Promise.resolve({
            files: ['../x.csv', '/etc/passwd', 'a/../../b', 'ok.csv', '.git/config'].map((path) => ({
              path,
              size: 1,
              modified: 1,
            })),
            problems: [],
          }),
        stat: () => Promise.resolve(undefined),
        read: () => Promise.reject(new Error('not asked')),
      },
      (path) => `vfs:/r/${path}`,
    );
    expect((await files.list('')).files.map(({ path }) => path)).toEqual(['ok.csv']);
  });

  it('stops an archive that expands without end', async () => {
    async function* chunks() {
      yield await Promise.resolve(new Uint8Array(gzipSync(new Uint8Array(5_000_000))));
    }
    const read = async (): Promise<number> => {
      let total = 0;
      for await (const piece of webGunzip(1_000_000).gunzip(chunks())) total += piece.length;
      return total;
    };
    await expect(read()).rejects.toMatchObject({ code: 'too-large' });
  });
});
