import {
  chmodSync,
  existsSync,
  linkSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  utimesSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { FilePortError } from '../../src/ports/repositoryFiles';
import { NodeRepositoryWriter } from '../../src/platform/node/nodeRepositoryWriter';
import { isTemporaryName, temporaryName } from '../../src/platform/node/temporaryFile';
import { put, temporaryFolder } from './temporaryFolder';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
async function refusal(work: Promise<void>): Promise<string> {
  try {
    await work;
    return 'written';
  } catch (error) {
    return error instanceof FilePortError ? error.code : String(error);
  }
}

describe('writing into the work tree', () => {
  it('creates and replaces, and leaves nothing else behind', async () => {
    const root = temporaryFolder({ 'a/log.csv': '1' });
    const writer = new NodeRepositoryWriter(root);
    await writer.writeAtomic('a/x.result.csv', bytes('one'));
    await writer.writeAtomic('a/x.result.csv', bytes('two'));
    expect(readFileSync(join(root, 'a/x.result.csv'), 'utf8')).toBe('two');
    expect(readdirSync(join(root, 'a')).sort()).toEqual(['log.csv', 'x.result.csv']);
  });

  it('keeps the permissions of a file it replaces, and respects one that may not be written', async () => {
    const root = temporaryFolder({ 'x.csv': 'old', 'y.csv': 'old' });
    chmodSync(join(root, 'x.csv'), 0o640);
    const writer = new NodeRepositoryWriter(root);
    await writer.writeAtomic('x.csv', bytes('new'));
    expect(statSync(join(root, 'x.csv')).mode & 0o777).toBe(0o640);
    if (process.getuid?.() !== 0) {
      chmodSync(join(root, 'y.csv'), 0o444);
      expect(await refusal(writer.writeAtomic('y.csv', bytes('new')))).toBe('denied');
      expect(readFileSync(join(root, 'y.csv'), 'utf8')).toBe('old');
    }
  });

  it('does not write into a file that another name shares', async () => {
    const root = temporaryFolder({ 'kept.csv': 'kept' });
    linkSync(join(root, 'kept.csv'), join(root, 'x.csv'));
    await new NodeRepositoryWriter(root).writeAtomic('x.csv', bytes('new'));
    expect(readFileSync(join(root, 'kept.csv'), 'utf8')).toBe('kept');
  });

  it('refuses links at the target, whether they lead inside, outside or nowhere', async () => {
    const outside = temporaryFolder({ 'o.csv': 'outside' });
    const root = temporaryFolder({ 'a.csv': 'inside' });
    symlinkSync('a.csv', join(root, 'in.csv'));
    symlinkSync(join(outside, 'o.csv'), join(root, 'out.csv'));
    symlinkSync(join(outside, 'new.csv'), join(root, 'nowhere.csv'));
    const writer = new NodeRepositoryWriter(root);
    for (const path of ['in.csv', 'out.csv', 'nowhere.csv'])
      expect(await refusal(writer.writeAtomic(path, bytes('!')))).toBe('outside');
    expect(readFileSync(join(root, 'a.csv'), 'utf8')).toBe('inside');
    expect(readFileSync(join(outside, 'o.csv'), 'utf8')).toBe('outside');
    expect(readdirSync(outside)).toEqual(['o.csv']);
    expect(readdirSync(root).sort()).toEqual(['a.csv', 'in.csv', 'nowhere.csv', 'out.csv']);
  });

  it('refuses folders that are links out of the repository, and every path that climbs', async () => {
    const outside = temporaryFolder();
    const root = temporaryFolder({ 'real/a.csv': '1' });
    symlinkSync(outside, join(root, 'out'));
    symlinkSync('real', join(root, 'inside'));
    const writer = new NodeRepositoryWriter(root);
    expect(await refusal(writer.writeAtomic('out/x.csv', bytes('!')))).toBe('outside');
    expect(await refusal(writer.writeAtomic('../x.csv', bytes('!')))).toBe('outside');
    expect(await refusal(writer.writeAtomic('/tmp/x.csv', bytes('!')))).toBe('outside');
    expect(readdirSync(outside)).toEqual([]);
    await writer.writeAtomic('inside/x.csv', bytes('fine'));
    expect(readFileSync(join(root, 'real/x.csv'), 'utf8')).toBe('fine');
  });

  it('refuses a folder in its place and a folder that is not there', async () => {
    const root = temporaryFolder();
    mkdirSync(join(root, 'x.csv'));
    const writer = new NodeRepositoryWriter(root);
    expect(await refusal(writer.writeAtomic('x.csv', bytes('!')))).toBe('not-a-file');
    expect(await refusal(writer.writeAtomic('none/x.csv', bytes('!')))).toBe('not-found');
    expect(readdirSync(root)).toEqual(['x.csv']);
  });

  it('clears what killed runs left, and nothing that a living run or another machine may still need', async () => {
    const root = temporaryFolder();
    const living = temporaryName();
    const dead = living.replace(`-${process.pid}-`, '-999999999-');
    const foreign = '.damper-review-00000000-1-0123456789abcdef.tmp';
    const foreignOld = '.damper-review-00000000-2-0123456789abcdef.tmp';
    for (const name of [living, dead, foreign, foreignOld, '.damper-review-notes.tmp']) put(root, name, 'half');
    utimesSync(join(root, foreignOld), new Date(0), new Date(0));
    expect([living, dead, foreign].every(isTemporaryName)).toBe(true);
    await new NodeRepositoryWriter(root).writeAtomic('x.csv', bytes('whole'));
    expect(existsSync(join(root, dead))).toBe(false);
    expect(existsSync(join(root, foreignOld))).toBe(false);
    expect(readdirSync(root).sort()).toEqual([living, foreign, '.damper-review-notes.tmp', 'x.csv'].sort());
  });
});
