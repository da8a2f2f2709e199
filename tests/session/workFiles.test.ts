import { describe, expect, it } from 'vitest';
import { WorkFiles } from '../../src/session/workFiles';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { collect } from '../platform/temporaryFolder';

/** Files of memory that count how often each is opened, and wait in the middle of a content where asked. */
class CountedFiles extends MemoryFiles {
  readonly opened: string[] = [];
  wait: Promise<void> = Promise.resolve();

  override async *open(path: string, signal?: AbortSignal) {
    this.opened.push(path);
    for await (const chunk of super.open(path, signal)) {
      await this.wait;
      yield chunk;
    }
  }
}

async function looked(files: MemoryFiles): Promise<WorkFiles> {
  const work = new WorkFiles(files);
  await work.refresh(undefined);
  return work;
}

const text = async (work: WorkFiles, path: string) =>
  new TextDecoder().decode(await collect(work.open(path, undefined)));

describe('small contents', () => {
  it('are read once between two looks at the files, and large ones each time', async () => {
    const files = new CountedFiles({ small: 'one', large: 'x'.repeat(1025) });
    const work = await looked(files);
    for (let i = 0; i < 3; i++)
      expect([await text(work, 'small'), (await text(work, 'large')).length]).toEqual(['one', 1025]);
    expect(files.opened).toEqual(['small', 'large', 'large', 'large']);
    files.set('small', 'two');
    work.invalidate(['small']);
    await work.refresh(undefined);
    expect(await text(work, 'small')).toBe('two');
  });

  it('that were being read when the files were looked at again are not kept', async () => {
    const files = new CountedFiles({ small: 'one' });
    const work = await looked(files);
    let goOn = (): void => undefined;
    files.wait = new Promise((resolve) => {
      goOn = resolve;
    });
    const before = text(work, 'small');
    await Promise.resolve();
    files.set('small', 'two');
    work.invalidate(['small']);
    await work.refresh(undefined);
    goOn();
    expect(await before).toBe('one');
    expect(await text(work, 'small')).toBe('two');
  });

  it('that were left in the middle, or have an unsaved text over them, are not kept', async () => {
    const files = new CountedFiles({ small: 'one' });
    const work = await looked(files);
    const reading = work.open('small', undefined)[Symbol.asyncIterator]();
    await reading.next();
    await reading.return?.();
    expect(await text(work, 'small')).toBe('one');
    expect(files.opened).toEqual(['small', 'small']);
    work.overlay('small', 'unsaved');
    await work.refresh(undefined);
    expect(await text(work, 'small')).toBe('unsaved');
    work.overlay('small', undefined);
    await work.refresh(undefined);
    expect(await text(work, 'small')).toBe('one');
  });
});
