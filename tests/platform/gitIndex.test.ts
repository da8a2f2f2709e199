import { chmodSync, readFileSync, rmSync, statSync, symlinkSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { GitIndex } from '../../src/platform/node/gitIndex';
import { GitRevisions } from '../../src/platform/node/gitRevisions';
import { BlobsOfIndex } from '../../src/platform/node/gitTreeOfIndex';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import type { FileEntry } from '../../src/ports/repositoryFiles';
import { ScriptedGit } from '../repositories/scriptedGit';
import { temporaryFolder } from './temporaryFolder';

const FILES = { 'a.csv': '1\n', 'deep/b.csv': '22\n', 'deep/ü 1.csv': '333\n', empty: '' };

/** Committed files, and an index that git wrote a while after them. */
async function indexed(...settings: readonly string[]): Promise<ScriptedGit> {
  const git = new ScriptedGit(temporaryFolder()).init();
  git.commit('first', FILES);
  await new Promise((resolve) => setTimeout(resolve, 60));
  git.git(...settings, 'update-index', '--force-write-index', '--refresh');
  return git;
}

/** The object that a file surely holds. */
function vouchedId(index: GitIndex, file: FileEntry): string | undefined {
  return index.isUntouched(file.path, file) ? index.objectOf(file.path) : undefined;
}

async function ids(git: ScriptedGit, idBytes = 20): Promise<Record<string, string | undefined>> {
  const index = GitIndex.read(join(git.folder, '.git/index'), idBytes);
  const { files } = await new NodeRepositoryFiles(git.folder).list('');
  return Object.fromEntries(files.map((file) => [file.path, vouchedId(index, file)]));
}

/** As git itself tells them; an empty file is never vouched for. */
function told(git: ScriptedGit): Record<string, string | undefined> {
  const paths = Object.keys(FILES);
  return Object.fromEntries(
    paths.map((path) => [path, path === 'empty' ? undefined : git.git('rev-parse', `HEAD:${path}`)]),
  );
}

describe('the index of git', () => {
  it.each(['2', '3', '4'])('vouches for files that are as git last saw them: version %s', async (version) => {
    const git = await indexed();
    if (version === '3') {
      git.put({ later: 'x' });
      git.git('add', '--intent-to-add', 'later');
    } else git.git('update-index', '--index-version', version);
    expect(readFileSync(join(git.folder, '.git/index')).readUInt32BE(4)).toBe(Number(version));
    const found = await ids(git);
    delete found['later'];
    expect(found).toEqual(told(git));
  });

  it('does not vouch for what was written since, though its size and time were put back', async () => {
    const git = await indexed();
    const path = join(git.folder, 'a.csv');
    const { atime, mtime } = statSync(path);
    writeFileSync(path, '2\n');
    utimesSync(path, atime, mtime);
    expect(await ids(git)).toEqual({ ...told(git), 'a.csv': undefined });
  });

  it('nor for a file written in the tick in which the index was, or one marked to be passed over', async () => {
    const git = await indexed();
    const index = GitIndex.read(join(git.folder, '.git/index'), 20);
    const written = statSync(join(git.folder, '.git/index')).mtime;
    const { files } = await new NodeRepositoryFiles(git.folder).list('');
    const late = files.map((file): FileEntry => ({ ...file, modified: written.getTime() }));
    expect(late.map((file) => vouchedId(index, file))).toEqual(late.map(() => undefined));
    utimesSync(join(git.folder, '.git/index'), statSync(join(git.folder, 'a.csv')).mtime, new Date(0));
    expect(Object.values(await ids(git)).filter(Boolean)).toEqual([]);
    git.git('update-index', '--assume-unchanged', 'a.csv');
    git.git('update-index', '--skip-worktree', 'deep/b.csv');
    expect(await ids(git)).toEqual({ ...told(git), 'a.csv': undefined, 'deep/b.csv': undefined });
  });

  it('vouches for nothing where it is split, cut off, of another form, or not there', async () => {
    const git = await indexed();
    const path = join(git.folder, '.git/index');
    const whole = readFileSync(path);
    const none = { 'a.csv': undefined, 'deep/b.csv': undefined, 'deep/ü 1.csv': undefined, empty: undefined };
    for (const bytes of [whole.subarray(0, 200), whole.subarray(0, 11), Buffer.alloc(0), Buffer.from('no index')]) {
      writeFileSync(path, bytes);
      expect(await ids(git)).toEqual(none);
    }
    writeFileSync(path, whole);
    git.git('update-index', '--split-index');
    expect(await ids(git)).toEqual(none);
  });

  it.each([[], ['--sparse-index']])(
    'knows what a sparse checkout leaves out, which is not removed %s',
    async (...options) => {
      const git = await indexed();
      git.commit('more', { 'other/c.csv': '3\n' });
      git.git('sparse-checkout', 'set', '--cone', ...options, 'other');
      const revisions = await GitRevisions.open(git.folder);
      const work = new NodeRepositoryFiles(git.folder);
      const base = await revisions.filesAt(await revisions.resolve('HEAD'));
      expect((await work.list('')).files.map(({ path }) => path)).toEqual(['a.csv', 'empty', 'other/c.csv']);
      expect(await revisions.changedPaths(base, work, () => true)).toEqual([]);
      expect(await revisions.leftOut(base, work)).toEqual(['deep/b.csv', 'deep/ü 1.csv']);
      git.put({ empty: null });
      expect(await revisions.changedPaths(base, work, () => true)).toEqual(['empty']);
      await revisions.close();
    },
  );

  describe('tells the files of a commit', () => {
    /** As a listing of the commit tells them. */
    function listed(git: ScriptedGit, commit: string, prefix = ''): Record<string, string> {
      const lines = git.git('ls-tree', '-r', '-z', '--full-tree', commit).split('\0');
      const found = lines.flatMap((line) => {
        const [, id, path] = /^100\d{3} blob ([0-9a-f]+)\t(.*)$/su.exec(line) ?? [];
        if (id === undefined || path?.startsWith(prefix) !== true || path.includes('node_modules/')) return [];
        return [[path.slice(prefix.length), id]];
      });
      return Object.fromEntries(found) as Record<string, string>;
    }

    async function toldOf(git: ScriptedGit, commit: string, below = '') {
      const revisions = await GitRevisions.open(join(git.folder, below));
      const { blobs } = await revisions.filesAt(await revisions.resolve(commit));
      await revisions.close();
      const paths = [...blobs.keys()];
      const ids = paths.map((path) => blobs.get(path)!);
      const elsewhere = [git.git('rev-parse', 'HEAD'), '', 'no id', '0'.repeat(40)];
      for (const id of ids) expect(blobs.among([...elsewhere, id])).toEqual(new Set([id]));
      expect(blobs.among([...Array.from({ length: 40 }, (_, i) => `${i}`), ...ids])).toEqual(new Set(ids));
      const ofOthers = git
        .git('rev-list', '--objects', '--all')
        .split('\n')
        .map((line) => line.slice(0, 40));
      for (const id of ofOthers) expect(blobs.among([id]).has(id)).toBe(ids.includes(id));
      expect(paths.filter((path) => !blobs.has(path))).toEqual([]);
      expect(['absent', 'node_modules/x'].filter((path) => blobs.has(path))).toEqual([]);
      const told = Object.fromEntries(paths.map((path) => [path, blobs.get(path)]));
      return { told, isOfIndex: blobs instanceof BlobsOfIndex };
    }

    /** A commit with a link and a folder that is passed over; then files come, go, and take each other's kind, staged and committed. */
    async function moved(): Promise<ScriptedGit> {
      const git = await indexed();
      symlinkSync('a.csv', join(git.folder, 'link'));
      git.commit('second', { 'node_modules/x': 'x', 'deep/gone': 'g', program: 'p', 'was file': 'f' });
      rmSync(join(git.folder, 'was file'));
      symlinkSync('a.csv', join(git.folder, 'was file'));
      rmSync(join(git.folder, 'link'));
      chmodSync(join(git.folder, 'program'), 0o755);
      git.commit('third', { 'deep/gone': null, link: 'a file now', 'node_modules/y': 'y' });
      git.put({ 'a.csv': 'staged', 'deep/new': 'new', empty: null });
      git.git('add', '-A');
      git.put({ 'a.csv': 'not staged', 'deep/b.csv': null });
      await new Promise((resolve) => setTimeout(resolve, 60));
      return git;
    }

    it.each(['2', '4'])('by what they have otherwise, whatever is staged: version %s', async (version) => {
      const git = await moved();
      git.git('update-index', '--index-version', version);
      await new Promise((resolve) => setTimeout(resolve, 60));
      for (const commit of ['HEAD', 'HEAD~1', 'HEAD~2']) {
        expect(await toldOf(git, commit)).toEqual({ told: listed(git, commit), isOfIndex: true });
        expect(await toldOf(git, commit, 'deep')).toEqual({ told: listed(git, commit, 'deep/'), isOfIndex: true });
      }
    });

    it.each([
      ['a merge', conflict],
      [
        'what is meant to be added',
        (git: ScriptedGit) => {
          git.git('add', '--intent-to-add', 'later');
        },
      ],
      [
        'a split',
        (git: ScriptedGit) => {
          git.git('update-index', '--split-index');
        },
      ],
      [
        'a sparse one',
        (git: ScriptedGit) => {
          git.git('sparse-checkout', 'set', '--cone', '--sparse-index', 'none');
        },
      ],
      [
        'the lack of any',
        (git: ScriptedGit) => {
          rmSync(join(git.folder, '.git/index'));
        },
      ],
    ])('by a listing where the index is not whole: %s', async (_, make) => {
      const git = await indexed();
      git.put({ later: 'x' });
      make(git);
      await new Promise((resolve) => setTimeout(resolve, 60));
      expect(await toldOf(git, 'HEAD')).toEqual({ told: listed(git, 'HEAD'), isOfIndex: false });
    });

    function conflict(git: ScriptedGit): void {
      git.branch('side').commit('side', { 'a.csv': 'side' });
      git.checkout('main').commit('main', { 'a.csv': 'main' });
      expect(() => git.git('merge', 'side')).toThrow();
    }
  });

  it('spares reading what it vouches for, and nothing else', async () => {
    const git = await indexed();
    git.put({ 'deep/b.csv': '23\n' });
    const opened: string[] = [];
    const disk = new NodeRepositoryFiles(git.folder);
    const work = {
      list: disk.list.bind(disk),
      stat: disk.stat.bind(disk),
      read: disk.read.bind(disk),
      open: (path: string) => (opened.push(path), disk.open(path)),
    };
    const revisions = await GitRevisions.open(git.folder);
    const base = await revisions.filesAt(await revisions.resolve('HEAD'));
    expect(await revisions.changedPaths(base, work, () => true)).toEqual(['deep/b.csv']);
    expect([...new Set(opened)].sort()).toEqual(['deep/b.csv', 'empty']);
    await revisions.close();
  });
});
