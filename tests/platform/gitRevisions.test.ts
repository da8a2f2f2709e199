import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { GitBlobs } from '../../src/platform/node/gitBlobs';
import { GitCommand, safeEnvironment } from '../../src/platform/node/gitCommand';
import { GitRevisions } from '../../src/platform/node/gitRevisions';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import type { RevisionFault } from '../../src/ports/revisions';
import { arm, somethingRan } from '../repositories/armed';
import { ScriptedGit } from '../repositories/scriptedGit';
import { collect, temporaryFolder } from './temporaryFolder';

const text = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
const all = (): boolean => true;

async function using<Result>(folder: string, work: (revisions: GitRevisions) => Promise<Result>): Promise<Result> {
  const revisions = await GitRevisions.open(folder);
  try {
    return await work(revisions);
  } finally {
    await revisions.close();
  }
}

async function refused(work: Promise<unknown>): Promise<string> {
  const error = await work.then(
    () => undefined,
    (reason: unknown) => reason as RevisionFault,
  );
  return error === undefined ? 'no error' : `${error.message} ${error.remedy}`;
}

/** main: a, b; branch: a changed, c added, b removed. */
function small(): { git: ScriptedGit; first: string; second: string } {
  const git = new ScriptedGit(temporaryFolder()).init();
  const first = git.commit('first', { 'a.csv': 'a\n1\n', 'deep/b.csv': 'b\n', 'deep/ü 1.csv': 'x'.repeat(200_000) });
  git.branch('work');
  const second = git.on('2026-02-02').commit('second', { 'a.csv': 'a\n2\n', 'c.csv': 'c\n', 'deep/b.csv': null });
  return { git, first, second };
}

describe('a revision of the files', () => {
  it('is read by one process, whose small answers may be left in the middle, and which may lack an object', async () => {
    const git = new ScriptedGit(temporaryFolder()).init();
    const names = Array.from({ length: 20 }, (_, i) => `${i}.csv`);
    git.commit('first', Object.fromEntries(names.map((name, i) => [name, `${i}\n`.repeat(7000)])));
    const idOf = (name: string): string =>
      execFileSync('git', ['rev-parse', `HEAD:${name}`], { cwd: git.folder, encoding: 'utf8' }).trim();
    const command = new GitCommand(git.folder);
    const started = vi.spyOn(command, 'start');
    const blobs = new GitBlobs(command);
    for (const [i, name] of names.entries()) {
      for await (const chunk of blobs.open(name, idOf(name), undefined)) {
        expect(text(chunk).startsWith(`${i}\n${i}\n`)).toBe(true);
        break;
      }
      await expect(blobs.read('none', '0'.repeat(40))).rejects.toMatchObject({ code: 'not-found' });
      expect((await blobs.read(name, idOf(name))).length).toBe(7000 * `${i}\n`.length);
    }
    expect(started).toHaveBeenCalledTimes(1);
    await blobs.close();
  });

  it('is read byte for byte, many at once, and again after a reader gave up half way', async () => {
    const { git, first } = small();
    await using(git.folder, async (revisions) => {
      const files = await revisions.filesAt(await revisions.resolve('main'));
      expect(files.commit).toBe(first);
      expect((await files.list('')).files.map(({ path }) => path)).toEqual(['a.csv', 'deep/b.csv', 'deep/ü 1.csv']);
      expect((await files.list('deep')).files).toHaveLength(2);
      expect(text(await files.read('a.csv'))).toBe('a\n1\n');
      for await (const chunk of files.open('deep/ü 1.csv')) {
        expect(chunk.length).toBeGreaterThan(0);
        break;
      }
      const many = await Promise.all(
        Array.from({ length: 30 }, (_, i) => collect(files.open(i % 2 === 0 ? 'deep/ü 1.csv' : 'deep/b.csv'))),
      );
      expect(many.map((bytes) => bytes.length)).toEqual(
        Array.from({ length: 30 }, (_, i) => (i % 2 === 0 ? 200_000 : 2)),
      );
      await expect(files.read('deep/ü 1.csv', 100)).rejects.toMatchObject({ code: 'too-large' });
      await expect(files.read('c.csv')).rejects.toMatchObject({ code: 'not-found' });
      expect(text(await files.read('deep/b.csv'))).toBe('b\n');
    });
  });

  it('is that of a folder where the damper-spec repository is one of a larger one', async () => {
    const { git } = small();
    await using(join(git.folder, 'deep'), async (revisions) => {
      const files = await revisions.filesAt(await revisions.resolve('main'));
      expect([...files.blobs.keys()].sort()).toEqual(['b.csv', 'ü 1.csv']);
      const replaced = await revisions.replacedSince(await revisions.resolve('main'));
      expect(replaced.map(({ path }) => path)).toEqual(['b.csv']);
      expect(text(await revisions.readBlob(replaced[0]!))).toBe('b\n');
    });
  });
});

describe('what changed against a revision', () => {
  it('is told from contents: edits that are not committed, files that came and went', async () => {
    const { git } = small();
    git.put({ 'deep/b.csv': 'b\n', 'new.csv': 'n' });
    await using(git.folder, async (revisions) => {
      const base = await revisions.defaultBase();
      expect(base.words).toBe('main');
      const work = new NodeRepositoryFiles(git.folder);
      const changed = (at: Awaited<ReturnType<GitRevisions['filesAt']>>) => revisions.changedPaths(at, work, all);
      expect(await changed(await revisions.filesAt(base.commit))).toEqual(['a.csv', 'c.csv', 'new.csv']);
      expect(await changed(await revisions.filesAt((await revisions.head())!))).toEqual(['deep/b.csv', 'new.csv']);
    });
  });

  it('is not a line ending of the checkout, nor a large file in place of its pointer', async () => {
    const git = new ScriptedGit(temporaryFolder()).init();
    const large = 'time [s],force [N]\n'.repeat(50);
    const oid = execFileSync('sha256sum', { input: large, encoding: 'utf8' }).slice(0, 64);
    const pointer = `version https://git-lfs.github.com/spec/v1\noid sha256:${oid}\nsize ${large.length}\n`;
    git.commit('first', {
      'a.csv': 'one\ntwo\n',
      'mixed.csv': 'a\r\nb\n',
      'log.testlog.csv': pointer,
      'kept.csv': pointer,
    });
    git.put({ 'a.csv': 'one\r\ntwo\r\n', 'log.testlog.csv': large });
    await using(git.folder, async (revisions) => {
      const files = await revisions.filesAt((await revisions.head())!);
      const work = new NodeRepositoryFiles(git.folder);
      expect(await revisions.changedPaths(files, work, all)).toEqual([]);
      git.put({ 'a.csv': 'one\r\ntwo\r\r\n', 'log.testlog.csv': `${large}x` });
      expect(await revisions.changedPaths(files, work, all)).toEqual(['a.csv', 'log.testlog.csv']);
    });
  });
});

describe('the base of a branch', () => {
  it('is where it left its default branch, an upstream before that, the last commit where there is neither', async () => {
    const { git, first } = small();
    git.checkout('main').commit('on main', { 'm.csv': '1' });
    git.checkout('work');
    const basis = () => using(git.folder, (revisions) => revisions.defaultBase());
    expect(await basis()).toEqual({ commit: first, words: 'where this branch left main' });
    git.git('branch', 'release', 'main');
    git.git('branch', '-q', '--set-upstream-to=release');
    expect(await basis()).toEqual({ commit: first, words: 'where this branch left release' });
    const alone = new ScriptedGit(temporaryFolder()).init();
    const only = alone.commit('only', { a: '1' });
    expect(await using(alone.folder, (revisions) => revisions.defaultBase())).toMatchObject({ commit: only });
  });

  it('is the remote default branch in a clone, whatever the own branch follows', async () => {
    const { git, first } = small();
    const clone = join(temporaryFolder(), 'clone');
    git.checkout('main');
    git.git('clone', '-q', git.folder, clone);
    new ScriptedGit(clone).git('checkout', '-q', 'work');
    const base = await using(clone, (revisions) => revisions.defaultBase());
    expect(base).toEqual({ commit: first, words: 'origin/main' });
  });

  it('is refused in words where the clone does not reach it, or nothing is so named', async () => {
    const { git } = small();
    const shallow = join(temporaryFolder(), 'shallow');
    git.checkout('main');
    git.git('clone', '-q', '--depth=1', '--no-single-branch', `file://${git.folder}`, shallow);
    new ScriptedGit(shallow).git('checkout', '-q', 'work');
    await using(shallow, async (revisions) => {
      expect(revisions.shallow).toBe(true);
      expect(await refused(revisions.defaultBase())).toContain('git fetch --unshallow');
      expect(await refused(revisions.resolve('HEAD~1'))).toContain('shallow');
    });
    await using(git.folder, async (revisions) => {
      for (const name of ['--help', '-x', 'nothing', '', 'HEAD:a.csv', 'a\nb', '--output=x', '$(touch y)'])
        expect(await refused(revisions.resolve(name)), name).toContain('names no commit');
    });
    expect(existsSync(join(git.folder, 'y'))).toBe(false);
  });

  it('is refused in words outside of git, before the first commit, and in a bare repository', async () => {
    const plain = temporaryFolder({ 'a.csv': '1' });
    expect(await refused(GitRevisions.open(plain))).toContain('no work tree');
    const empty = new ScriptedGit(temporaryFolder()).init();
    await using(empty.folder, async (revisions) => {
      expect(await refused(revisions.defaultBase())).toContain('no commit yet');
    });
    const bare = join(temporaryFolder(), 'bare.git');
    empty.git('init', '-q', '--bare', bare);
    expect(await refused(GitRevisions.open(bare))).toContain('no work tree');
    expect(await refused(GitRevisions.open(plain, '/nonexistent/git'))).not.toBe('no error');
  });
});

describe('the versions of a file', () => {
  const versionsIn = (folder: string, path: string, commit: string, most = 12) =>
    using(folder, async (revisions) => {
      const asked = ['other', path, 'never.csv'];
      const versions = (await revisions.versionsOf(asked, commit, most)).get(path)!;
      return Promise.all(versions.map(async (one) => [one.commit, text(await revisions.readBlob(one))] as const));
    });

  it('are those along the first parents, merges included, as git log tells them', async () => {
    const git = new ScriptedGit(temporaryFolder()).init();
    const first = git.commit('first', { 'deep/a.csv': '1', other: '1' });
    git.branch('side');
    const onSide = git.commit('side', { 'deep/a.csv': '2' });
    git.checkout('main').commit('other', { other: '2' });
    git.git('merge', '-q', '--no-ff', '-m', 'merge', 'side');
    const merge = git.git('rev-parse', 'HEAD');
    const gone = git.commit('gone', { 'deep/a.csv': null });
    const back = git.commit('back', { 'deep/a.csv': '3' });
    const told = git.git('log', '--first-parent', '--format=%H', '--', 'deep/a.csv').split('\n');
    expect(told).toEqual([back, gone, merge, first]);
    const versions = [
      [back, '3'],
      [merge, '2'],
      [first, '1'],
    ];
    expect(await versionsIn(git.folder, 'deep/a.csv', back)).toEqual(versions);
    expect(await versionsIn(git.folder, 'deep/a.csv', back, 1)).toEqual(versions.slice(0, 1));
    expect(await versionsIn(git.folder, 'deep/a.csv', onSide)).toEqual([
      [onSide, '2'],
      [first, '1'],
    ]);
    // The same file, where the repository is a folder of a larger one.
    expect(await versionsIn(join(git.folder, 'deep'), 'a.csv', back)).toEqual(versions);
    expect(await versionsIn(git.folder, 'never.csv', back)).toEqual([]);
  });
});

describe('what is looked up ahead', () => {
  it('is the same as when it is asked for, and stays what it was', async () => {
    const { git, second } = small();
    const revisions = await GitRevisions.open(git.folder, undefined, ['HEAD', 'main']);
    try {
      const base = await revisions.leftFrom('main');
      expect(base).toEqual(await using(git.folder, (one) => one.leftFrom('main')));
      git.commit('third', { 'd.csv': 'd' });
      expect(await revisions.head()).toBe(second);
    } finally {
      await revisions.close();
    }
    const unknown = await GitRevisions.open(git.folder, undefined, ['HEAD', 'nothing']);
    expect(await refused(unknown.leftFrom('nothing'))).toContain('names no commit');
    await unknown.close();
  });

  it('parted where git merge-base says, of several places the same one, and nowhere where nothing is shared', async () => {
    const { git } = small();
    // Each of two branches takes in the other: two commits are nearest to both.
    git.checkout('main').commit('third', { 'm.csv': 'm' });
    git.git('branch', 'cross');
    git.git('merge', '-q', '--no-ff', '-m', 'merge', 'work');
    git.checkout('work');
    git.git('merge', '-q', '--no-ff', '-m', 'merge', 'cross');
    expect(git.git('merge-base', '--all', 'main', 'work').split('\n')).toHaveLength(2);
    for (const name of ['main', 'cross']) {
      const ahead = await GitRevisions.open(git.folder, undefined, ['HEAD', name]);
      expect((await ahead.leftFrom(name)).commit).toBe(git.git('merge-base', name, 'HEAD'));
      await ahead.close();
    }
    git.git('checkout', '-q', '--orphan', 'apart');
    git.commit('apart', { 'n.csv': 'n' });
    const apart = await GitRevisions.open(git.folder, undefined, ['HEAD', 'main']);
    expect(await refused(apart.leftFrom('main'))).toContain('have no common history');
    await apart.close();
  });
});

describe('odd clones', () => {
  it('a partial clone says what it lacks and fetches nothing', async () => {
    const { git, first } = small();
    git.git('config', 'uploadpack.allowFilter', 'true');
    const clone = join(temporaryFolder(), 'partial');
    git.git('clone', '-q', '--filter=blob:none', `file://${git.folder}`, clone);
    await using(clone, async (revisions) => {
      const files = await revisions.filesAt(first);
      const here = await revisions.filesAt((await revisions.head())!);
      const blobs = ['a.csv', 'deep/b.csv'].map((path) => files.blobs.get(path)!);
      const asked = [here.blobs.get('c.csv')!, ...blobs];
      expect(await revisions.missing(asked)).toEqual(new Set(blobs));
      expect(await revisions.missing([])).toEqual(new Set());
      await expect(files.read('a.csv')).rejects.toMatchObject({ code: 'not-found', path: 'a.csv' });
      await expect(files.read('a.csv')).rejects.toMatchObject({ code: 'not-found' });
      expect(text(await here.read('c.csv'))).toBe('c\n');
      expect(await revisions.missing(asked)).toEqual(new Set(blobs));
    });
  });

  it('a worktree of its own reads like any other', async () => {
    const { git, second } = small();
    const other = join(temporaryFolder(), 'other');
    git.git('worktree', 'add', '-q', other, 'main');
    await using(other, async (revisions) => {
      const files = await revisions.filesAt(await revisions.resolve('work'));
      expect(files.commit).toBe(second);
      expect(text(await files.read('a.csv'))).toBe('a\n2\n');
    });
  });

  it('objects named by SHA-256 are told apart as well', async () => {
    const git = new ScriptedGit(temporaryFolder());
    git.git('init', '-q', '--object-format=sha256', '-b', 'main');
    git.commit('first', { 'a.csv': '1\n', 'b.csv': '2\n' });
    git.put({ 'b.csv': '3\n' });
    await using(git.folder, async (revisions) => {
      const files = await revisions.filesAt((await revisions.head())!);
      expect(await revisions.changedPaths(files, new NodeRepositoryFiles(git.folder), all)).toEqual(['b.csv']);
    });
  });

  it('nothing that a repository arms ever runs', async () => {
    const { git, first } = small();
    arm(git.folder);
    spawnSync('git', ['status'], { cwd: git.folder }); // proof that it is armed
    expect(somethingRan(git.folder)).toBe(true);
    rmSync(join(git.folder, '.git', 'something-ran'));
    await using(git.folder, async (revisions) => {
      await revisions.defaultBase();
      const files = await revisions.filesAt(first);
      await revisions.missing([...files.blobs.keys()].map((path) => files.blobs.get(path)!));
      await revisions.changedPaths(files, new NodeRepositoryFiles(git.folder), all);
      await revisions.replacedSince(first);
      await revisions.versionsOf(['a.csv'], (await revisions.head())!, 5);
      await files.read('a.csv');
    });
    expect(somethingRan(git.folder)).toBe(false);
  });

  it('a git of the repository itself is never the one that is started', async () => {
    const { git } = small();
    mkdirSync(join(git.folder, 'bin'));
    writeFileSync(join(git.folder, 'git'), '#!/bin/sh\ntouch ran\n', { mode: 0o755 });
    const before = process.env['PATH'];
    process.env['PATH'] = `.:${before ?? ''}`;
    try {
      await using(git.folder, (revisions) => revisions.head());
    } finally {
      process.env['PATH'] = before;
    }
    expect(existsSync(join(git.folder, 'ran'))).toBe(false);
  });

  it('variables that redirect git are dropped', () => {
    const kept = safeEnvironment({
      PATH: '/bin',
      GIT_DIR: '/x',
      git_work_tree: '/y',
      GIT_SSH_COMMAND: 'z',
      LANGUAGE: 'de',
    });
    expect(kept).toEqual({
      PATH: '/bin',
      GIT_ALLOW_PROTOCOL: 'none',
      GIT_NO_LAZY_FETCH: '1',
      GIT_OPTIONAL_LOCKS: '0',
      GIT_TERMINAL_PROMPT: '0',
      LC_ALL: 'C',
    });
  });
});

describe('the history of a file', () => {
  it('is its versions along the first parents, newest first', async () => {
    const { git } = small();
    git.checkout('main').on('2026-02-03').merge('work');
    const last = git.on('2026-02-04').commit('third', { 'a.csv': 'a\n3\n' });
    await using(git.folder, async (revisions) => {
      const versions = (await revisions.versionsOf(['a.csv'], 'main', 10)).get('a.csv')!;
      expect(await Promise.all(versions.map(async (version) => text(await revisions.readBlob(version))))).toEqual([
        'a\n3\n',
        'a\n2\n',
        'a\n1\n',
      ]);
      expect(versions[0]!.commit).toBe(last);
      expect(versions[1]!.time).toBe(Date.parse('2026-02-03T12:00:00Z') / 1000); // that of the merge, not of the branch's commit
      const replaced = await revisions.replacedSince(versions[2]!.commit);
      expect(replaced.map(({ path }) => path).sort()).toEqual(['a.csv', 'a.csv', 'deep/b.csv']);
    });
  });
});
