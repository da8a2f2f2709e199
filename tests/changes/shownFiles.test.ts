import { describe, expect, it } from 'vitest';
import { ShownFiles } from '../../src/changes/shownFiles';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { FileEntry } from '../../src/ports/repositoryFiles';
import { bytesOf, FilesAtHand } from '../session/filesAtHand';

/** Counts what is read at once, by path. */
class CountedFiles extends MemoryFiles {
  readonly reads: string[] = [];

  readNow({ path }: FileEntry): Uint8Array {
    this.reads.push(path);
    return Uint8Array.of(this.reads.length);
  }
}

describe('files that were read of the work tree', () => {
  it('are not read again for the session, but once, for the entry that was listed, and where they are not shown otherwise', async () => {
    const disk = new CountedFiles({ a: '1', b: '2', c: '3' });
    const files = new ShownFiles(disk);
    const [a, b, c] = (await files.list('')).files as [FileEntry, FileEntry, FileEntry];
    for (const entry of [a, b, c]) files.work.readNow?.(entry);
    files.narrow(new Set(['a', 'c']));
    files.show(new Map([['c', Uint8Array.of(9)]]));
    expect(files.readNow({ ...a })).toEqual(Uint8Array.of(4)); // looked at again: it may be another
    expect([files.readNow(a), files.readNow(a), files.readNow(b), files.readNow(c)]).toEqual(
      [1, 5, 6, undefined].map((byte) => byte && Uint8Array.of(byte)),
    );
    expect(disk.reads.join('')).toBe('abcaab');
  });

  it('have their start at hand where they are not shown otherwise', async () => {
    const files = new ShownFiles(new FilesAtHand({ a: '123', b: '456' }));
    const [a, b] = (await files.list('')).files as [FileEntry, FileEntry];
    files.show(new Map([['b', Uint8Array.of(9)]]));
    expect(files.startNow(a, 2)).toEqual(bytesOf('12'));
    expect(files.startNow(b, 2)).toBeUndefined();
  });
});
