import { execFileSync } from 'node:child_process';
import { appendFileSync, lstatSync, mkdirSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { AbortedError } from '../../src/ports/abort';
import { FilePortError } from '../../src/ports/repositoryFiles';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import { temporaryName } from '../../src/platform/node/temporaryFile';
import { collect, put, temporaryFolder } from './temporaryFolder';

const codeOf = async (work: Promise<unknown>): Promise<string> => {
  try {
    await work;
    return 'no error';
  } catch (error) {
    return error instanceof FilePortError ? error.code : String(error);
  }
};

describe('files on disk', () => {
  it('lists every file once, sorted, with its size, and skips what is no work', async () => {
    const root = temporaryFolder({
      'b/z.csv': '12345',
      'a.csv': '1',
      '.git/config': 'x',
      'node_modules/p/x.csv': 'x',
      'b/node_modules/y.csv': 'x',
      '.hidden/h.csv': '1',
    });
    put(root, `b/${temporaryName()}`, 'half a result');
    const { files, problems } = await new NodeRepositoryFiles(root).list('');
    expect(files.map((file) => [file.path, file.size])).toEqual([
      ['.hidden/h.csv', 1],
      ['a.csv', 1],
      ['b/z.csv', 5],
    ]);
    expect(problems).toEqual([]);
    expect((await new NodeRepositoryFiles(root).list('b')).files.map((file) => file.path)).toEqual(['b/z.csv']);
    expect((await new NodeRepositoryFiles(root).list('a.csv')).files).toEqual([]);
  });

  it('reads whole and in chunks, again and again', async () => {
    const content = Uint8Array.from({ length: 700_000 }, (_, i) => (i * 31) & 255);
    const files = new NodeRepositoryFiles(temporaryFolder({ 'big.bin': content, 'empty.csv': '' }));
    expect(Buffer.compare(await files.read('big.bin'), content)).toBe(0);
    expect(Buffer.compare(await collect(files.open('big.bin')), content)).toBe(0);
    expect(Buffer.compare(await collect(files.open('big.bin')), content)).toBe(0);
    expect((await files.read('empty.csv')).length).toBe(0);
    expect((await collect(files.open('empty.csv'))).length).toBe(0);
  });

  it('lists in the order of paths, whatever stands next to a slash', async () => {
    const names = [
      'a',
      'a-b',
      'a.csv',
      'a b',
      'aa',
      'A',
      'Ä',
      '\u{1f600}',
      '\uff41',
      'a/b',
      'a/b.c',
      'a!/x',
      'a0/x',
      'a-b/c',
    ];
    const paths = names.flatMap((name) => [`${name}/f.csv`, `${name}.d/f.csv`, `${name}-f.csv`]);
    const root = temporaryFolder(Object.fromEntries(paths.map((path) => [path, '1'])));
    const { files } = await new NodeRepositoryFiles(root).list('');
    expect(files.map((file) => file.path)).toEqual([...new Set(paths)].sort());
  });

  it('tells of each file which one it is and when it last changed', async () => {
    const root = temporaryFolder({ 'a.csv': '1', 'b/c.csv': '22' });
    const files = new NodeRepositoryFiles(root);
    for (const entry of (await files.list('')).files) {
      const { ino, ctimeMs, mtimeMs, size } = lstatSync(join(root, entry.path));
      expect(entry).toEqual({ path: entry.path, size, modified: mtimeMs, changed: ctimeMs, inode: ino });
      expect(await files.stat(entry.path)).toEqual(entry);
    }
  });

  it.each([0, 1, 1024, 256 * 1024 - 1, 256 * 1024, 256 * 1024 + 1])('reads %i bytes in chunks', async (size) => {
    const content = Uint8Array.from({ length: size }, (_, i) => (i * 31) & 255);
    const files = new NodeRepositoryFiles(temporaryFolder({ 'a.bin': content }));
    expect(Buffer.compare(await collect(files.open('a.bin')), content)).toBe(0);
    expect(Buffer.compare(await files.read('a.bin'), content)).toBe(0);
  });

  it('reads on where a file grows meanwhile', async () => {
    const root = temporaryFolder({ 'a.bin': new Uint8Array(300_000) });
    let size = 0;
    for await (const chunk of new NodeRepositoryFiles(root).open('a.bin')) {
      if (size === 0) appendFileSync(join(root, 'a.bin'), new Uint8Array(5000));
      size += chunk.length;
    }
    expect(size).toBe(305_000);
  });

  it('says what is wrong with a path', async () => {
    const root = temporaryFolder({ 'a.csv': '12345678', 'folder/b.csv': '1' });
    const files = new NodeRepositoryFiles(root);
    expect(await codeOf(files.read('none.csv'))).toBe('not-found');
    expect(await codeOf(files.read('a.csv/x'))).toBe('not-found');
    expect(await codeOf(files.read('folder'))).toBe('not-a-file');
    expect(await codeOf(files.read('a.csv', 7))).toBe('too-large');
    expect(await codeOf(files.read('../x'))).toBe('outside');
    expect(await codeOf(files.read('/etc/hostname'))).toBe('outside');
    expect(await codeOf(collect(files.open('none.csv')))).toBe('not-found');
    expect(await files.stat('none.csv')).toBeUndefined();
    expect(await files.stat('folder')).toBeUndefined();
    expect(await codeOf(files.stat('../x'))).toBe('outside');
  });

  it('does not wait on a named pipe', async () => {
    const root = temporaryFolder({ 'a.csv': '1' });
    execFileSync('mkfifo', [join(root, 'pipe.testlog.csv')]);
    const files = new NodeRepositoryFiles(root);
    expect(await codeOf(files.read('pipe.testlog.csv'))).toBe('not-a-file');
    expect((await files.list('')).files.map((file) => file.path)).toEqual(['a.csv']);
  });

  it('stops listing and reading when asked', async () => {
    const files = new NodeRepositoryFiles(temporaryFolder({ 'a.csv': '1' }));
    const signal = AbortSignal.abort();
    await expect(files.list('', signal)).rejects.toBeInstanceOf(AbortedError);
    await expect(collect(files.open('a.csv', signal))).rejects.toBeInstanceOf(AbortedError);
  });
});

describe('links', () => {
  it('follows one that stays inside, once', async () => {
    const root = temporaryFolder({ 'spec/a.damper.yaml': 'id: a', 'logs/b.csv': '1' });
    symlinkSync('../spec/a.damper.yaml', join(root, 'logs/a.damper.yaml'));
    symlinkSync('spec', join(root, 'again'));
    const files = new NodeRepositoryFiles(root);
    const { files: found, problems } = await files.list('');
    expect(found.map((file) => file.path)).toEqual(['logs/b.csv', 'spec/a.damper.yaml']);
    expect(problems).toEqual([]);
    expect((await files.stat('logs/a.damper.yaml'))?.path).toBe('spec/a.damper.yaml');
    expect(new TextDecoder().decode(await files.read('again/a.damper.yaml'))).toBe('id: a');
    // Below one folder, what its links lead to is listed at the link.
    expect((await files.list('logs')).files.map((file) => file.path)).toEqual(['logs/a.damper.yaml', 'logs/b.csv']);
  });

  it('lists what two of them lead to at the one of the outer folder, else of the first', async () => {
    const root = temporaryFolder({
      'x/f.csv': '1',
      'x/g.csv': '2',
      'd/b/k.csv': '3',
      'd/a/k.csv': '4',
      'd/a-b/k.csv': '5',
    });
    symlinkSync('../x/f.csv', join(root, 'd/z.csv'));
    symlinkSync('../../x/f.csv', join(root, 'd/b/f.csv'));
    symlinkSync('../../x/g.csv', join(root, 'd/a-b/g.csv'));
    symlinkSync('../../x/g.csv', join(root, 'd/a/g.csv'));
    const { files } = await new NodeRepositoryFiles(root).list('d');
    expect(files.map((file) => file.path)).toEqual(['d/a-b/k.csv', 'd/a/g.csv', 'd/a/k.csv', 'd/b/k.csv', 'd/z.csv']);
  });

  it('reports those that leave the repository, and opens nothing behind them', async () => {
    const outside = temporaryFolder({ 'secret.csv': 'secret', 'more/x.csv': '1' });
    const root = temporaryFolder({ 'a.csv': '1' });
    symlinkSync(join(outside, 'secret.csv'), join(root, 'file.testlog.csv'));
    symlinkSync(outside, join(root, 'folder'));
    symlinkSync('..', join(root, 'up'));
    const files = new NodeRepositoryFiles(root);
    const { files: found, problems } = await files.list('');
    expect(found.map((file) => file.path)).toEqual(['a.csv']);
    expect(problems.map((problem) => [problem.path, problem.code])).toEqual([
      ['file.testlog.csv', 'outside'],
      ['folder', 'outside'],
      ['up', 'outside'],
    ]);
    expect(await codeOf(files.read('file.testlog.csv'))).toBe('outside');
    expect(await codeOf(files.read('folder/secret.csv'))).toBe('outside');
    expect(await codeOf(collect(files.open('folder/more/x.csv')))).toBe('outside');
    expect(await codeOf(files.stat('file.testlog.csv'))).toBe('outside');
  });

  it('reports loops and links to nothing, and still lists the rest', async () => {
    const root = temporaryFolder({ 'a.csv': '1', 'b/c.csv': '2' });
    symlinkSync('loop2', join(root, 'loop1'));
    symlinkSync('loop1', join(root, 'loop2'));
    symlinkSync('..', join(root, 'b/up'));
    symlinkSync('../b', join(root, 'b/self'));
    symlinkSync('gone.csv', join(root, 'dangling.csv'));
    const { files: found, problems } = await new NodeRepositoryFiles(root).list('');
    expect(found.map((file) => file.path)).toEqual(['a.csv', 'b/c.csv']);
    expect(problems.map((problem) => [problem.path, problem.code])).toEqual([
      ['b/self', 'link-loop'],
      ['b/up', 'link-loop'],
      ['dangling.csv', 'not-found'],
      ['loop1', 'link-loop'],
      ['loop2', 'link-loop'],
    ]);
  });

  it('sees through a link in the path of the root itself', async () => {
    const real = temporaryFolder({ 'a.csv': '1' });
    const link = join(temporaryFolder(), 'link');
    symlinkSync(real, link);
    expect((await new NodeRepositoryFiles(link).list('')).files).toHaveLength(1);
    expect(new NodeRepositoryFiles(link).root).toBe(real);
  });

  it('looks only so deep', async () => {
    const root = temporaryFolder();
    mkdirSync(join(root, Array.from({ length: 70 }, () => 'd').join('/')), { recursive: true });
    const { problems } = await new NodeRepositoryFiles(root).list('');
    expect(problems).toHaveLength(1);
    expect(problems[0]?.message).toContain('64 folders deep');
  });
});
