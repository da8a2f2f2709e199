import {
  appendFileSync,
  linkSync,
  readFileSync,
  renameSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import type { FileEntry } from '../../src/ports/repositoryFiles';
import { temporaryFolder } from './temporaryFolder';

afterEach(() => {
  vi.useRealTimers();
});

const textOf = (bytes: Uint8Array | undefined) => (bytes === undefined ? undefined : new TextDecoder().decode(bytes));

/** A repository with a/b/file.csv that was listed, and its entry. */
async function listed(content: string | Uint8Array = 'ours') {
  const root = temporaryFolder({ 'a/b/file.csv': content, 'a/b/next.csv': 'next' });
  const files = new NodeRepositoryFiles(root);
  const entry = (await files.list('')).files.find(({ path }) => path === 'a/b/file.csv')!;
  return { root, files, entry, path: join(root, entry.path) };
}

// Where links are not refused at opening, nothing is read in this way.
describe.skipIf(process.platform === 'win32')('a listed file read without waiting', () => {
  it('has bytes of its own, and is read again and again', async () => {
    const { files, entry } = await listed();
    const [first, second] = [files.readNow(entry)!, files.readNow(entry)!];
    first.fill(0);
    const third = files.readNow(entry)!;
    second.fill(0);
    expect([textOf(first), textOf(third), third.length]).toEqual(['\0\0\0\0', 'ours', 4]);
  });

  it('stays as it is however many are read after it', async () => {
    const names = Array.from({ length: 40 }, (_, i) => `${i}.csv`);
    const files = new NodeRepositoryFiles(
      temporaryFolder(Object.fromEntries(names.map((name, i) => [name, `${i % 10}`.repeat(20_000 + i)]))),
    );
    const read = (await files.list('')).files.map((entry) => ({ entry, bytes: files.readNow(entry)! }));
    for (const { entry, bytes } of read) {
      const number = Number.parseInt(entry.path, 10);
      expect(textOf(bytes)).toBe(`${number % 10}`.repeat(20_000 + number));
    }
  });

  it('is whole up to the size that is read so, and left to the other ways beyond and where it is empty', async () => {
    for (const [bytes, isRead] of [
      [0, false],
      [65_535, true],
      [65_536, false],
    ] as const) {
      const content = Uint8Array.from({ length: bytes }, (_, i) => (i * 31) & 255);
      const { files, entry } = await listed(content);
      const read = files.readNow(entry);
      expect(read !== undefined && Buffer.compare(read, content) === 0).toBe(isRead);
    }
  });

  it('of any size gives its first bytes, beside those of others', async () => {
    const content = Uint8Array.from({ length: 300_000 }, (_, i) => (i * 31) & 255);
    const { files, entry, path } = await listed(content);
    const starts = [1, 1024, 65_535].map((most) => files.startNow(entry, most)!);
    expect(starts.map(({ length }) => length)).toEqual([1, 1024, 65_535]);
    for (const start of starts) expect(Buffer.compare(start, content.subarray(0, start.length))).toBe(0);
    expect(files.startNow(entry, 65_536)).toBeUndefined();
    const short = await listed('ours');
    expect(textOf(short.files.startNow(short.entry, 1024))).toBe('ours');
    appendFileSync(path, '!');
    expect(files.startNow(entry, 1024)).toBeUndefined();
  });

  it('is not read once it was written to, though size and time of writing are as before', async () => {
    const { files, entry, path } = await listed();
    const { atime, mtime } = statSync(path);
    writeFileSync(path, 'hers');
    utimesSync(path, atime, mtime);
    expect(files.readNow(entry)).toBeUndefined();
    expect(textOf(await files.read(entry.path))).toBe('hers');
    expect(textOf(files.readNow((await files.stat(entry.path))!))).toBe('hers');
    appendFileSync(path, '!');
    expect(files.readNow(entry)).toBeUndefined();
  });

  it('is not read where another came into its place, or it is gone', async () => {
    const { root, files, entry, path } = await listed();
    renameSync(join(root, 'a/b/next.csv'), path);
    expect(files.readNow(entry)).toBeUndefined();
    renameSync(path, join(root, 'away.csv'));
    expect(files.readNow(entry)).toBeUndefined();
  });

  it.each(['a', 'a/b'])('is not read behind a link that came in the place of folder %s', async (folder) => {
    const { root, files, entry } = await listed();
    const outside = temporaryFolder({ 'file.csv': 'seen', 'b/file.csv': 'seen' });
    renameSync(join(root, folder), join(root, 'aside'));
    symlinkSync(outside, join(root, folder));
    expect(readFileSync(join(root, 'a/b/file.csv'), 'utf8')).toBe('seen');
    expect(files.readNow(entry)).toBeUndefined();
  });

  it('is not read through a link that came in its own place, though that leads to the same file', async () => {
    const { root, files, entry, path } = await listed();
    const place = join(root, 'moved.csv');
    linkSync(path, place);
    const { changed, ...rest } = entry;
    const linked: FileEntry = { ...rest, ...(changed !== undefined && { changed: statSync(path).ctimeMs }) };
    expect(textOf(files.readNow(linked))).toBe('ours');
    renameSync(path, join(root, 'aside.csv'));
    symlinkSync(place, path);
    expect(files.readNow({ ...linked, changed: statSync(place).ctimeMs })).toBeUndefined();
  });

  it('is not read by an entry of other files, or by a path that leaves the folder', async () => {
    const { root, files, entry } = await listed();
    const { path, size, modified } = entry;
    expect(files.readNow({ path, size, modified })).toBeUndefined();
    const within = new NodeRepositoryFiles(join(root, 'a/b'));
    await within.list('');
    for (const other of ['../b/file.csv', './file.csv', '/file.csv', `${root}/a/b/file.csv`, ''])
      expect(within.readNow({ ...entry, path: other })).toBeUndefined();
    expect(textOf(within.readNow({ ...entry, path: 'file.csv' }))).toBe('ours');
  });

  it('is not read by an entry of long ago', async () => {
    const { files, entry } = await listed();
    vi.useFakeTimers({ now: Date.now() + 9000, toFake: ['Date'] });
    expect(textOf(files.readNow(entry))).toBe('ours');
    vi.setSystemTime(Date.now() + 2000);
    expect(files.readNow(entry)).toBeUndefined();
  });
});
