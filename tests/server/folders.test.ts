import { afterEach, describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { REQUEST } from '../../src/protocol/requests';
import { FolderUri, foldersAround } from '../../src/server/folderUri';
import { LOGS, resultOf, SPECS, specText, workshopFiles } from '../session/workshop';
import { ROOT, StartedServer } from './startedServer';

let server: StartedServer | undefined;
afterEach(async () => {
  await server?.stop();
  server = undefined;
});

const SOFT = resultOf(LOGS.two);
const copy = async (): Promise<MemoryFiles> => new MemoryFiles(await workshopFiles());

describe('several repositories', () => {
  it('has one session each, below one folder and in several', async () => {
    const [a, b, c] = ['file:///w/all/a', 'file:///w/all/b', 'file:///w/else'];
    const folders = new Map([
      [a, await copy()],
      [b, await copy()],
      [c, await copy()],
    ]);
    folders.get(b)!.set(SPECS.front, specText('alder-front', '40 %'));
    server = await StartedServer.start({ folders, open: ['file:///w/all', c] });
    await expect.poll(() => server!.published).toBe(3);
    const drifting = [a, b, c].map((root) => server!.listed(SOFT, root).join().includes('drift-from-reference'));
    expect(drifting).toEqual([true, false, true]);
    const tree = await server.request(REQUEST.tree, null);
    expect(tree.map(({ kind, label, verdict }) => [kind, label, verdict])).toEqual([
      ['repository', 'a', 'fail'],
      ['repository', 'b', 'pass'],
      ['repository', 'else', 'fail'],
    ]);
    const targets = (await server.request(REQUEST.compareTargets, null)).filter(
      ({ label }) => label === 'F-001 build 1',
    );
    expect(new Set(targets.map(({ target }) => target)).size).toBe(3);
    await expect(server.request(REQUEST.compare, { a: targets[0]!.target, b: targets[1]!.target })).rejects.toThrow(
      /different repositories/,
    );
  });

  it('judges a repository inside another once, by its own rules', async () => {
    const inner = `${ROOT}/inner`;
    const outer = await copy();
    for (const [path, content] of Object.entries(await workshopFiles())) outer.set(`inner/${path}`, content);
    server = await StartedServer.start({
      folders: new Map([
        [ROOT, outer],
        [inner, await copy()],
      ]),
    });
    await expect.poll(() => server!.published).toBeGreaterThanOrEqual(2);
    const tree = await server.request(REQUEST.tree, null);
    expect(tree.map(({ label, description }) => [label, description])).toEqual([
      ['shop', '1 fail, 3 pass'],
      ['inner', '1 fail, 3 pass'],
    ]);
    expect(server.diagnostics(SOFT, inner).filter(({ code }) => code === 'drift-from-reference')).toHaveLength(1);
  });

  it('takes a folder in when it is opened or marked, and takes everything back when it goes', async () => {
    const other = 'file:///w/other';
    const folders = new Map([
      [ROOT, await copy()],
      [other, await copy()],
    ]);
    server = await StartedServer.start({ folders });
    const change = (added: readonly string[], removed: readonly string[]) =>
      server!.client.sendNotification('workspace/didChangeWorkspaceFolders', {
        event: { added: added.map((uri) => ({ uri, name: uri })), removed: removed.map((uri) => ({ uri, name: uri })) },
      });
    await server.settledAfter(() => change([other], []));
    expect(server.listed(SOFT, other).join()).toContain('drift-from-reference');
    await server.settledAfter(() => change([], [other]));
    expect([...server.shown].filter(([uri, shown]) => uri.startsWith(`${other}/`) && shown.length > 0)).toEqual([]);
    expect(server.listed(SOFT).join()).toContain('drift-from-reference');
  });

  it('takes a folder without a mark as a repository once one of its files is opened', async () => {
    const bare = 'file:///w/bare';
    const files = await copy();
    files.remove('damper-review.yaml');
    server = await StartedServer.start({ folders: new Map([[bare, files]]), open: [] });
    await server.client.sendNotification('workspace/didChangeWorkspaceFolders', {
      event: { added: [{ uri: bare, name: 'bare' }], removed: [] },
    });
    await server.settledAfter(() => server!.open(SOFT, undefined, bare));
    expect(server.listed(SOFT, bare).join()).toContain('drift-from-reference');
  });
});

describe('a log that is open', () => {
  it('counts as it is stored where it is large, and nothing of it is reviewed at a keystroke', async () => {
    server = await StartedServer.start();
    const before = server.published;
    const large = `${await server.text(LOGS.one)}${'9.9999,0.00,0.0\n'.repeat(200_000)}`;
    await server.open(LOGS.one, large);
    await server.type(LOGS.one, `${large}x`);
    await new Promise((resolve) => setTimeout(resolve, 100));
    expect(server.published).toBe(before);
    await server.type(LOGS.one, `${await server.text(LOGS.one)}nonsense\n`);
    await expect.poll(() => server!.diagnostics(LOGS.one).length).toBeGreaterThan(0);
  });
});

describe('addresses', () => {
  it.each([
    ['file:///c%3A/shop', 'file:///C:/shop/a%20b/x.csv', 'a b/x.csv'],
    ['file:///w/shop/', 'file:///w/shop/%28a%29.csv', '(a).csv'],
    ['file:///w/shop', 'file:///w/shop2/x.csv', undefined],
    ['file:///w/shop', 'file:///w/shop', ''],
    ['vscode-vfs://host/r', 'vscode-vfs://host/r/100%.csv', '100%.csv'],
  ])('%s holds %s as %s', (folder, uri, path) => {
    expect(new FolderUri(folder).pathOf(uri)).toBe(path);
  });

  it.each([
    ['memfs:/a/b/x.csv', ['memfs:/a/b', 'memfs:/a', 'memfs:']],
    ['memfs:/x.csv', ['memfs:']],
    ['vfs://host/a/x.csv', ['vfs://host/a', 'vfs://host']],
    ['untitled:x.result.csv', []],
    ['x.csv', []],
  ])('%s lies in %j', (file, folders) => {
    expect([...foldersAround(file)]).toEqual(folders);
  });

  it.each(['memfs:/', 'vfs://host/', 'memfs:/a'])('%s stays the folder that it is', (folder) => {
    expect(new FolderUri(folder).uriOf('')).toBe(folder);
    expect(new FolderUri(folder).pathOf(new FolderUri(folder).uriOf('b/x.csv'))).toBe('b/x.csv');
  });

  it('come back from paths as they went', () => {
    const folder = new FolderUri('file:///w/shop');
    for (const path of ['a b/ä#?%.csv', 'x@y/(1).csv']) expect(folder.pathOf(folder.uriOf(path))).toBe(path);
  });
});
