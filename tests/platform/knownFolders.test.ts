import { mkdir, mkdtemp, rename, rm, symlink, unlink, writeFile } from 'node:fs/promises';
import { statfsSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { MemoryStore } from '../../src/platform/memory/memoryServices';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';

/** Changes of a tree, one after the other. */
const CHANGES: Readonly<Record<string, (root: string) => Promise<unknown>>> = {
  'a file that came': (root) => writeFile(join(root, 'dampers/F-001/new.result.csv'), 'x'),
  'a file in a new folder': async (root) => {
    await mkdir(join(root, 'dampers/F-003/build-1'), { recursive: true });
    await writeFile(join(root, 'dampers/F-003/build-1/a.result.csv'), 'x');
  },
  'a file that was renamed': (root) => rename(join(root, 'dampers/F-001/a.csv'), join(root, 'dampers/F-001/b.csv')),
  'a file that moved to another folder': (root) =>
    rename(join(root, 'dampers/F-001/b.csv'), join(root, 'dampers/F-002/b.csv')),
  'a file that went': (root) => unlink(join(root, 'dampers/F-002/b.csv')),
  'a file with other content': (root) => writeFile(join(root, 'dampers/F-002/a.csv'), 'something longer'),
  'a link that came': (root) => symlink(join(root, 'specs'), join(root, 'linked')),
  'a link that leads nowhere': (root) => symlink('nowhere', join(root, 'dampers/lost')),
  'a link that leads elsewhere': async (root) => {
    await unlink(join(root, 'linked'));
    await symlink(join(root, 'dampers/F-001'), join(root, 'linked'));
  },
  'a folder that became a link': async (root) => {
    await rename(join(root, 'dampers/F-002'), join(root, 'moved'));
    await symlink(join(root, 'moved'), join(root, 'dampers/F-002'));
  },
  'a folder that became a file': async (root) => {
    await rm(join(root, 'dampers/F-003'), { recursive: true });
    await writeFile(join(root, 'dampers/F-003'), 'x');
  },
  'another folder under a name': async (root) => {
    await rename(join(root, 'specs'), join(root, 'old'));
    await mkdir(join(root, 'specs'));
    await writeFile(join(root, 'specs/other.damper.yaml'), 'x');
  },
};

/** ext4, tmpfs or overlayfs, as on every machine that these tests run on; elsewhere nothing is kept, and lists must be right all the same. */
const isKept = process.platform === 'linux' && [0xef53, 0x01021994, 0x794c7630].includes(statfsSync(tmpdir()).type);

describe('folders that are known from before', () => {
  let root: string;
  let store: MemoryStore;

  beforeEach(async () => {
    root = await mkdtemp(join(tmpdir(), 'known-folders-'));
    store = new MemoryStore();
    for (const folder of ['specs', 'dampers/F-001', 'dampers/F-002', 'dampers/__proto__'])
      await mkdir(join(root, folder), { recursive: true });
    for (const file of ['specs/a.damper.yaml', 'dampers/F-001/a.csv', 'dampers/F-002/a.csv', 'dampers/__proto__/a.csv'])
      await writeFile(join(root, file), file);
    vi.useFakeTimers({ toFake: ['Date'] });
  });
  afterEach(async () => {
    vi.useRealTimers();
    await rm(root, { recursive: true });
  });

  /** By a process of its own; some time after what was written, so that folders count as settled. */
  const list = async (keeps: MemoryStore | undefined) => {
    vi.setSystemTime(Date.now() + 10_000);
    const { files, problems } = await new NodeRepositoryFiles(root, { store: keeps }).list('');
    return { files, problems: problems.map(({ code, path }) => ({ code, path })) };
  };

  it('give the list that a walk without them gives, after every kind of change', async () => {
    for (const [name, change] of Object.entries(CHANGES)) {
      await list(store);
      await change(root);
      expect(await list(store), name).toEqual(await list(undefined));
      expect(await list(store), `${name}, again`).toEqual(await list(undefined));
    }
  });

  it.runIf(isKept)('are not listed again, and written only where one of them is other', async () => {
    const put = vi.spyOn(store, 'put');
    await list(store);
    expect(put).toHaveBeenCalledTimes(1);
    await list(store);
    expect(put).toHaveBeenCalledTimes(1);
    // What is kept is taken at its word: a name that was taken out of it is not seen.
    const [key, bytes] = put.mock.calls[0]!;
    const text = new TextDecoder().decode(bytes);
    expect(text).toContain('//specs/a.damper.yaml"');
    await store.put(key, new TextEncoder().encode(text.replace('//specs/a.damper.yaml', '')));
    expect((await list(store)).files.map(({ path }) => path)).not.toContain('specs/a.damper.yaml');
  });

  it.runIf(isKept)('are listed again one by one where not all are as they were', async () => {
    const put = vi.spyOn(store, 'put');
    await list(store);
    const [key, bytes] = put.mock.calls[0]!;
    await store.put(
      key,
      new TextEncoder().encode(new TextDecoder().decode(bytes).replace('//specs/a.damper.yaml', '')),
    );
    await writeFile(join(root, 'dampers/F-001/new.csv'), 'x');
    const paths = (await list(store)).files.map(({ path }) => path);
    expect(paths).toContain('dampers/F-001/new.csv');
    expect(paths).not.toContain('specs/a.damper.yaml'); // of a folder that looks as it did
  });

  it('are not kept where they changed within two seconds of being listed', async () => {
    vi.setSystemTime(Date.now());
    await new NodeRepositoryFiles(root, { store }).list('');
    const put = vi.spyOn(store, 'put');
    await list(store);
    expect(put).toHaveBeenCalledTimes(isKept ? 1 : 0);
  });
});
