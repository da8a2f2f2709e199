import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { gzipSync } from 'node:zlib';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { REQUEST } from '../../src/protocol/requests';
import { isPageView } from '../../src/protocol/viewGuards';
import { nodePlatforms } from '../../src/server/nodePlatforms';
import { bundled } from '../platform/bundled';
import { LOGS, resultOf, SPECS, specText, workshopFiles } from '../session/workshop';
import { StartedServer, type ServerSetup } from './startedServer';

/* The server on Node.js with folders that are on no disk: another extension provides them, and the client alone reaches them. */
const VIRTUAL = 'memfs:/workshop';
const SOFT = resultOf(LOGS.two);
let aside = '';
let worker: URL;
let server: StartedServer | undefined;
beforeAll(async () => {
  aside = mkdtempSync(join(tmpdir(), 'damper-virtual-'));
  worker = pathToFileURL(await bundled(aside, 'logWorker', "import './src/server/logWorker';"));
});
afterEach(async () => {
  await server?.stop();
  server = undefined;
});
afterAll(() => {
  rmSync(aside, { recursive: true, force: true });
});

async function start(setup: ServerSetup): Promise<StartedServer> {
  const options = { trusted: true, cacheFolder: join(aside, 'cache') };
  server = await StartedServer.start({
    platformFor: (connection) => nodePlatforms(options, worker, connection),
    ...setup,
  });
  return server;
}

const workshop = async (): Promise<MemoryFiles> => new MemoryFiles(await workshopFiles());

async function workshopOnDisk(): Promise<string> {
  const folder = mkdtempSync(join(aside, 'disk-'));
  for (const [path, content] of Object.entries(await workshopFiles())) {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), content);
  }
  return pathToFileURL(folder).href;
}

/** What is shown of the files below a folder, wherever the folder lies. */
function shownBelow({ shown }: StartedServer, root: string): Map<string, unknown> {
  const below = [...shown].filter(([uri]) => uri.startsWith(`${root}/`));
  return new Map(
    below
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([uri, set]) => [uri.slice(root.length), JSON.parse(JSON.stringify(set).replaceAll(root, ''))]),
  );
}

describe('a virtual folder on a desktop', () => {
  it('is judged as the same files on a disk are, both open at once', async () => {
    const disk = await workshopOnDisk();
    const both = await start({ open: [disk, VIRTUAL], folders: new Map([[VIRTUAL, await workshop()]]) });
    await expect.poll(() => both.published).toBe(2);
    expect(shownBelow(both, VIRTUAL)).toEqual(shownBelow(both, disk));
    expect(both.listed(SOFT, VIRTUAL).join()).toContain('drift-from-reference');
    const tree = await both.request(REQUEST.tree, null);
    expect(tree.map(({ verdict, description }) => [verdict, description])).toEqual([
      ['fail', '1 fail, 3 pass'],
      ['fail', '1 fail, 3 pass'],
    ]);
    expect(tree.map(({ label }) => label)).toContain('workshop');
    expect(both.logged.filter((words) => words.includes('larger than 64 MiB'))).toEqual([
      expect.stringMatching(/^In a folder of a virtual file system/),
    ]);
  });

  it('is reduced from its logs, packed ones too, and previewed', async () => {
    const files = await workshop();
    const packed = LOGS.two.replace(/\.csv$/, '.csv.gz');
    files.set(packed, gzipSync(await files.read(LOGS.two)));
    files.remove(LOGS.two);
    files.remove(SOFT);
    const { request, listed, uri } = await startedWith(files);
    expect(listed(packed)).toContain('drift-from-reference');
    const view = await request(REQUEST.preview, { uri: uri(packed) });
    expect(isPageView(view)).toBe(true);
    const { files: written } = await request(REQUEST.reduce, { uri: uri(packed) });
    expect(written.map(({ uri: at, isNew }) => [at, isNew])).toEqual([[uri(SOFT), true]]);
  });

  it('is judged again by unsaved texts, by saved ones and by its marker', async () => {
    const { made, listed } = await startedWith(await workshop());
    const drifts = (): boolean => listed(SOFT).includes('drift-from-reference');
    await made.open(SPECS.front, undefined, VIRTUAL);
    await made.settledAfter(() => made.type(SPECS.front, specText('alder-front', '40 %'), VIRTUAL));
    expect(drifts()).toBe(false);
    await made.settledAfter(async () => made.type(SPECS.front, await made.text(SPECS.front, VIRTUAL), VIRTUAL));
    expect(drifts()).toBe(true);
    const marker = await made.text('damper-review.yaml', VIRTUAL);
    await made.settledAfter(() => made.write('damper-review.yaml', `${marker}\n# as before\n`, VIRTUAL));
    expect(await made.request(REQUEST.tree, null)).not.toEqual([]);
    expect(drifts()).toBe(true);
  });

  it('has no history, and says why', async () => {
    const { request, uri } = await startedWith(await workshop());
    await expect(request(REQUEST.branch, { uri: uri(SOFT) })).rejects.toThrow(/no git history here.*on no disk/);
    const compared = request(REQUEST.compare, { a: `${uri(SOFT)}@main`, b: uri(SOFT) });
    await expect(compared).rejects.toThrow(/nor has a folder that is on no disk/);
    const beside = await request(REQUEST.compare, { a: uri(resultOf(LOGS.one)), b: uri(SOFT) });
    expect(isPageView(beside)).toBe(true);
  });

  it('may be the root of its file system', async () => {
    const made = await start({ open: ['memfs:/'], folders: new Map([['memfs:', await workshop()]]) });
    expect(made.listed(SOFT, 'memfs:').join()).toContain('drift-from-reference');
    const marker = await made.text('damper-review.yaml', 'memfs:');
    await made.settledAfter(() => made.write('damper-review.yaml', `${marker}\n`, 'memfs:'));
    expect(made.listed(SOFT, 'memfs:').join()).toContain('drift-from-reference');
  });

  it('keeps no other from being judged where it cannot be looked through, and the log says so', async () => {
    const made = await start({ open: ['lost:/folder', VIRTUAL], folders: new Map([[VIRTUAL, await workshop()]]) });
    expect(made.listed(SOFT, VIRTUAL).join()).toContain('drift-from-reference');
    expect(made.logged.join('\n')).toMatch(/lost:\/folder could not be looked through: .*none of the open folders/);
  });

  it('leaves a file outside of every open folder alone', async () => {
    const { made } = await startedWith(await workshop());
    for (const uri of ['memfs:/elsewhere/a.result.csv', 'untitled:a.result.csv'])
      expect(await made.request(REQUEST.status, { uri })).toBeNull();
  });
});

async function startedWith(files: MemoryFiles) {
  const made = await start({ open: [VIRTUAL], folders: new Map([[VIRTUAL, files]]) });
  return {
    made,
    request: made.request.bind(made),
    uri: (path: string): string => made.uri(path, VIRTUAL),
    listed: (path: string): string => made.listed(path, VIRTUAL).join(),
  };
}
