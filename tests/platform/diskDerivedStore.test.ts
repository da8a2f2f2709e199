import { mkdirSync, readdirSync, readFileSync, statSync, symlinkSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { userCacheFolder } from '../../src/platform/node/cacheFolder';
import { DiskDerivedStore } from '../../src/platform/node/diskDerivedStore';
import { temporaryName } from '../../src/platform/node/temporaryFile';
import { temporaryFolder } from './temporaryFolder';

const filled = (length: number, value: number): Uint8Array => new Uint8Array(length).fill(value);

describe('derived data on disk', () => {
  it('keeps values over processes', async () => {
    const folder = join(temporaryFolder(), 'deep/cache');
    await new DiskDerivedStore({ folder }).put('key', filled(100, 7));
    expect(await new DiskDerivedStore({ folder }).get('key')).toEqual(filled(100, 7));
    expect(await new DiskDerivedStore({ folder }).get('other')).toBeUndefined();
    expect(statSync(folder).mode & 0o077).toBe(0); // nobody else reads what a workshop measured
  });

  it('reads a damaged, cut, foreign or swapped entry as absent', async () => {
    const folder = temporaryFolder();
    const store = new DiskDerivedStore({ folder });
    await store.put('a', filled(500, 1));
    const [name] = readdirSync(folder);
    const file = join(folder, name!);
    const whole = readFileSync(file);
    for (let at = 0; at < whole.length; at += 13) {
      const damaged = Uint8Array.from(whole);
      damaged[at]! ^= 1;
      writeFileSync(file, damaged);
      expect(await store.get('a')).toBeUndefined();
    }
    for (const length of [0, 1, 31, 32, 33, whole.length - 1]) {
      writeFileSync(file, whole.subarray(0, length));
      expect(await store.get('a')).toBeUndefined();
    }
    await store.put('b', filled(500, 2));
    const other = readdirSync(folder).find((one) => one !== name)!;
    writeFileSync(file, readFileSync(join(folder, other))); // the value of another key under this name
    expect(await store.get('a')).toBeUndefined();
    await store.put('a', filled(500, 3));
    expect(await store.get('a')).toEqual(filled(500, 3));
  });

  it('stays within its bounds and keeps what was used last', async () => {
    const folder = temporaryFolder();
    const store = new DiskDerivedStore({ folder, limit: 10_000 });
    for (let i = 0; i < 9; i++) await store.put(`key ${i}`, filled(1000, i));
    for (const name of readdirSync(folder)) utimesSync(join(folder, name), 1000, 1000);
    expect(await store.get('key 0')).toBeDefined();
    for (let i = 9; i < 12; i++) await store.put(`key ${i}`, filled(1000, i));
    const size = readdirSync(folder).reduce((sum, name) => sum + statSync(join(folder, name)).size, 0);
    expect(size).toBeLessThanOrEqual(10_000);
    expect(await store.get('key 0')).toBeDefined();
    expect(await store.get('key 11')).toBeDefined();
    await store.put('too big', filled(20_000, 1));
    expect(await store.get('too big')).toBeUndefined();
    expect(await store.get('key 0')).toBeDefined();
  });

  it('counts what earlier processes left towards its bounds', async () => {
    const folder = temporaryFolder();
    for (let i = 0; i < 20; i++) await new DiskDerivedStore({ folder, limit: 5000 }).put(`key ${i}`, filled(1000, i));
    const size = readdirSync(folder).reduce((sum, name) => sum + statSync(join(folder, name)).size, 0);
    expect(size).toBeLessThanOrEqual(5000);
  });

  it('is silent where the folder cannot be used', async () => {
    const folder = temporaryFolder({ file: 'no folder' });
    const store = new DiskDerivedStore({ folder: join(folder, 'file') });
    await store.put('a', filled(10, 1));
    expect(await store.get('a')).toBeUndefined();
  });

  it('never keeps anything inside the work tree, links included', async () => {
    const root = temporaryFolder();
    mkdirSync(join(root, 'cache'));
    const link = join(temporaryFolder(), 'link');
    symlinkSync(join(root, 'cache'), link);
    for (const folder of [join(root, 'cache'), join(root, 'fresh'), link]) {
      const store = new DiskDerivedStore({ folder, repositoryRoot: root });
      await store.put('a', filled(10, 1));
      expect(await store.get('a')).toBeUndefined();
    }
    expect(readdirSync(root)).toEqual(['cache']);
    expect(readdirSync(join(root, 'cache'))).toEqual([]);
  });

  it('clears half-written entries of killed runs', async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, temporaryName().replace(`-${process.pid}-`, '-999999999-')), 'half');
    await new DiskDerivedStore({ folder }).put('a', filled(10, 1));
    expect(readdirSync(folder)).toHaveLength(1);
  });

  it('survives two stores writing the same and other entries at once', async () => {
    const folder = temporaryFolder();
    const stores = [new DiskDerivedStore({ folder, limit: 20_000 }), new DiskDerivedStore({ folder, limit: 20_000 })];
    await Promise.all(
      Array.from({ length: 60 }, async (_, i) => {
        const key = `key ${i % 20}`;
        await stores[i % 2]!.put(key, filled(900, i % 20));
        const value = await stores[(i + 1) % 2]!.get(key);
        if (value !== undefined) expect(value).toEqual(filled(900, i % 20));
      }),
    );
  });
});

describe("the user's cache folder", () => {
  it('follows each platform', () => {
    expect(userCacheFolder('linux', {}, '/home/u')).toBe('/home/u/.cache/damper-spec-review');
    expect(userCacheFolder('linux', { XDG_CACHE_HOME: '/var/c' }, '/home/u')).toBe('/var/c/damper-spec-review');
    expect(userCacheFolder('linux', { XDG_CACHE_HOME: 'relative' }, '/home/u')).toBe(
      '/home/u/.cache/damper-spec-review',
    );
    expect(userCacheFolder('linux', { XDG_CACHE_HOME: '' }, '/home/u')).toBe('/home/u/.cache/damper-spec-review');
    expect(userCacheFolder('darwin', {}, '/Users/u')).toBe('/Users/u/Library/Caches/damper-spec-review');
    expect(userCacheFolder('win32', { LOCALAPPDATA: 'C:\\Users\\u\\AppData\\Local' }, 'C:\\Users\\u')).toBe(
      'C:\\Users\\u\\AppData\\Local\\damper-spec-review\\Cache',
    );
    expect(userCacheFolder('win32', {}, 'C:\\Users\\u')).toBe(
      'C:\\Users\\u\\AppData\\Local\\damper-spec-review\\Cache',
    );
    expect(userCacheFolder('linux', {}, '')).toBeUndefined();
    expect(userCacheFolder('win32', {}, '')).toBeUndefined();
  });
});
