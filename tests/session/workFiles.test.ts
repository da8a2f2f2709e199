import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { FileEntry } from '../../src/ports/repositoryFiles';
import { LooksDraft } from '../../src/session/keptLooks';
import { WorkFiles } from '../../src/session/workFiles';

/** Files that are there without waiting, as the disk's are, and that say of which entry they were asked. */
class FilesAtHand extends MemoryFiles {
  readonly asked: FileEntry[] = [];

  readNow(entry: FileEntry): Uint8Array {
    this.asked.push(entry);
    return new TextEncoder().encode(`${entry.path} of ${entry.size}`);
  }
}

const textOf = (bytes: Uint8Array | undefined) => (bytes === undefined ? undefined : new TextDecoder().decode(bytes));

describe('content without waiting', () => {
  it('is what the port has for the entry as it was last looked at', async () => {
    const files = new FilesAtHand({ 'a.csv': 'one' });
    const work = new WorkFiles(files);
    await work.refresh(undefined);
    expect(textOf(work.readNow('a.csv'))).toBe('a.csv of 3');
    files.set('a.csv', 'other');
    expect(textOf(work.readNow('a.csv'))).toBe('a.csv of 3');
    work.invalidate(['a.csv']);
    await work.refresh(undefined);
    expect(textOf(work.readNow('a.csv'))).toBe('a.csv of 5');
  });

  it('is neither that of a file with an unsaved text, nor of one that is not there', async () => {
    const files = new FilesAtHand({ 'a.csv': 'one' });
    const work = new WorkFiles(files);
    work.overlay('a.csv', 'unsaved');
    await work.refresh(undefined);
    expect([work.readNow('a.csv'), work.readNow('b.csv')]).toEqual([undefined, undefined]);
    expect(files.asked).toEqual([]);
    work.overlay('a.csv', undefined);
    await work.refresh(undefined);
    expect(textOf(work.readNow('a.csv'))).toBe('a.csv of 3');
  });

  it('is none where the port must be waited for', async () => {
    const work = new WorkFiles(new MemoryFiles({ 'a.csv': 'one' }));
    await work.refresh(undefined);
    expect(work.readNow('a.csv')).toBeUndefined();
  });
});

describe('how files look', () => {
  /** Files with numbers and times of their own, listed in order. */
  class FilesOf extends MemoryFiles {
    constructor(readonly entries: readonly FileEntry[]) {
      super({});
    }
    override list(): ReturnType<MemoryFiles['list']> {
      return Promise.resolve({ files: [...this.entries], problems: [] });
    }
  }
  const entry = (path: string, more: Partial<FileEntry> = {}): FileEntry => {
    return { path, size: 10, modified: 1000, changed: 1000.25, inode: 7, ...more };
  };
  const opened = async (entries: readonly FileEntry[]): Promise<WorkFiles> => {
    const work = new WorkFiles(new FilesOf(entries));
    await work.refresh(undefined);
    return work;
  };
  const looksOf = (work: WorkFiles) => {
    const draft = new LooksDraft();
    for (const path of work.paths().toReversed()) draft.add(path, 0, work.lookOf(path)!);
    return draft.looks();
  };
  const PATHS = ['a.csv', 'b/Å.csv', 'c.csv'];

  it('is as it was until size, time of change or number is another, whatever else came', async () => {
    const before = PATHS.map((path) => entry(path));
    const { keys, numbers } = looksOf(await opened(before));
    const same = async (entries: readonly FileEntry[]) => [...(await opened(entries)).compareLooks(keys, numbers)];
    expect(await same(before)).toEqual([1, 1, 1]);
    for (const more of [{ size: 11 }, { changed: 1000.5 }, { inode: 8 }, { content: 'abc' }])
      expect(await same([before[0]!, entry('b/Å.csv', more), before[2]!]), JSON.stringify(more)).toEqual([1, 0, 1]);
    expect(await same([entry('a-b.csv'), ...before])).toEqual([1, 1, 1]);
    expect(await same([before[0]!, before[2]!])).toEqual([1, 0, 1]);
    expect(await same([before[0]!, entry('b/Ä.csv'), before[2]!])).toEqual([1, 0, 1]);
  });

  it('vouches for nothing that was written just now or has an unsaved text, and agrees with the text on that', async () => {
    const before = PATHS.map((path) => entry(path));
    const { keys, numbers } = looksOf(await opened(before));
    const work = await opened(before);
    work.overlay('c.csv', 'unsaved');
    await work.refresh(undefined);
    expect([...work.compareLooks(keys, numbers)]).toEqual([1, 1, 0]);
    const now = Date.now();
    const recent = await opened([
      entry('a.csv', { changed: now }),
      entry('b/Å.csv', { modified: now }),
      entry('c.csv'),
    ]);
    const looks = PATHS.map((path) => recent.lookOf(path) !== undefined);
    expect(looks).toEqual([false, false, true]);
    expect(PATHS.map((path) => recent.contentText(path) !== undefined)).toEqual(looks);
    expect([...recent.compareLooks(keys, Float64Array.of(10, now, 7, 10, 1000.25, 7, 10, 1000.25, 7))]).toEqual([
      0, 0, 1,
    ]);
  });
});
