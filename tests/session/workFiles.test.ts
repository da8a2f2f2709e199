import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { FileEntry } from '../../src/ports/repositoryFiles';
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
