import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterEach, describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { nodePlatform } from '../../src/server/nodePlatform';
import { bundled } from '../platform/bundled';
import { temporaryFolder } from '../platform/temporaryFolder';
import { logText, resultOf, SPECS, specText, workshopFiles } from '../session/workshop';
import { HeldFiles, LARGE } from './heldFiles';
import { manyRows } from './manyRows';
import { ROOT, StartedServer } from './startedServer';

const MEBIBYTE = 1024 * 1024;

let server: StartedServer | undefined;
afterEach(async () => {
  await server?.stop();
  server = undefined;
});

/** Time for a run to be given up and for the next one to come as far as the log. */
const aWhile = () => new Promise((resolve) => setTimeout(resolve, 40));

/** Edits of a spec, each of which gives up the review under way. */
async function edits(on: StartedServer, from: number, root = ROOT): Promise<void> {
  for (let edit = from; edit < from + 3; edit++) {
    await on.type(SPECS.rear, specText('birch-rear', `${edit} %`), root);
    await aWhile();
  }
}

async function heldServer(work: (held: StartedServer, files: HeldFiles) => Promise<void>): Promise<HeldFiles> {
  const files = new HeldFiles(await workshopFiles());
  server = await StartedServer.start({
    folders: new Map([[ROOT, files]]),
    onMade: async (made) => {
      await made.open(SPECS.rear);
      await expect.poll(() => files.readings.length).toBe(1);
      await work(made, files);
    },
  });
  return files;
}

describe('a large log is read once, whatever is typed meanwhile', () => {
  it('once for its digest and once for its reduction', async () => {
    const files = await heldServer(async (made, held) => {
      await edits(made, 11);
      expect(held.readings).toHaveLength(1);
      held.release();
      await expect.poll(() => held.readings.length).toBe(2);
      await edits(made, 21);
      expect(held.readings).toHaveLength(2);
      held.release();
    });
    expect(files.readings.map(({ ended }) => ended)).toEqual([true, true]);
    expect(server!.listed(resultOf(LARGE)).join()).toContain('drift-from-reference');
  });

  it('again where it changed in mid reading: the older reading ends, and the newer content is told', async () => {
    const files = await heldServer(async (made, held) => {
      await made.write(LARGE, logText({ serial: 'F-002', seed: 7 }));
      await made.write(resultOf(LARGE), null);
      await expect.poll(() => held.readings.length).toBe(2);
      expect(held.readings.map(({ signal }) => signal?.aborted)).toEqual([true, false]);
      held.release();
      await expect.poll(() => held.readings.length).toBe(3);
      held.release();
    });
    expect(files.readings.map(({ ended }) => ended)).toEqual([false, true, true]);
    expect(server!.listed(LARGE).join()).not.toContain('drift-from-reference');
  });

  it('to no end where it goes, or the folder is closed', async () => {
    const files = await heldServer(async (made, held) => {
      await made.write(LARGE, null);
      await expect.poll(() => held.readings[0]!.signal?.aborted).toBe(true);
      held.release();
    });
    expect(files.readings).toHaveLength(1);
    await server!.write(LARGE, logText({ serial: 'F-002', seed: 8 }));
    await expect.poll(() => files.readings.length).toBe(2);
    await server!.client.sendNotification('workspace/didChangeWorkspaceFolders', {
      event: { added: [], removed: [{ uri: ROOT, name: 'shop' }] },
    });
    await expect.poll(() => files.readings[1]!.signal?.aborted).toBe(true);
    files.release();
  });

  it('in the worker thread of a server on a disk', async () => {
    const folder = temporaryFolder();
    const large = manyRows(logText({ serial: 'F-002', seed: 2, reboundShare: 0.8 }), 3 * MEBIBYTE);
    for (const [path, content] of Object.entries({ ...(await workshopFiles()), [LARGE]: large })) {
      mkdirSync(dirname(join(folder, path)), { recursive: true });
      writeFileSync(join(folder, path), content);
    }
    const aside = temporaryFolder();
    const [told, gate] = [join(aside, 'told'), join(aside, 'gate')];
    writeFileSync(told, '');
    const worker = await bundled(aside, 'worker', watchedWorker(told, gate));
    const options = { trusted: false, cacheFolder: join(aside, 'cache') };
    const readings = (): string[] => readFileSync(told, 'utf8').split('\n').slice(0, -1);
    const root = pathToFileURL(folder).href;
    server = await StartedServer.start({
      open: [root],
      folders: new Map([[root, new MemoryFiles(await workshopFiles())]]),
      platform: nodePlatform(options, pathToFileURL(worker)),
      onMade: async (made) => {
        await made.open(SPECS.rear, undefined, root);
        for (const pass of [1, 2]) {
          await expect.poll(readings).toHaveLength(2 * pass - 1);
          await edits(made, 10 * pass, root);
          expect(readings()).toHaveLength(2 * pass - 1);
          writeFileSync(`${gate}${pass}`, '');
        }
      },
    });
    expect(readings()).toEqual(['begun', 'ended', 'begun', 'ended']);
    expect(existsSync(join(aside, 'cache'))).toBe(true);
    expect(server.listed(LARGE, root).join()).not.toContain('unreadable');
  });
});

/** The server's own worker, which tells every reading of the large log beyond its head and holds it there while the gate is shut. */
function watchedWorker(told: string, gate: string): string {
  return `
import { appendFileSync, existsSync } from 'node:fs';
import './src/server/logWorker';
import { NodeRepositoryFiles } from './src/platform/node/nodeRepositoryFiles';
const open = NodeRepositoryFiles.prototype.open;
let readings = 0;
NodeRepositoryFiles.prototype.open = async function* (path, signal) {
  const isLarge = path === ${JSON.stringify(LARGE)};
  let chunks = 0;
  for await (const chunk of open.call(this, path, signal)) {
    yield chunk;
    chunks += 1;
    if (!isLarge || chunks !== 1) continue;
    appendFileSync(${JSON.stringify(told)}, 'begun\\n');
    const gate = ${JSON.stringify(gate)} + String(++readings);
    while (!existsSync(gate)) await new Promise((resolve) => setTimeout(resolve, 5));
  }
  if (isLarge) appendFileSync(${JSON.stringify(told)}, 'ended\\n');
};`;
}
