import { execFileSync } from 'node:child_process';
import { mkdirSync, renameSync, rmSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { temporaryName } from '../../src/platform/node/temporaryFile';
import { GitRevisions } from '../../src/platform/node/gitRevisions';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import { ScriptedGit } from '../repositories/scriptedGit';
import { put, temporaryFolder } from './temporaryFolder';

const FILES = {
  'a.csv': '1\n',
  'deep/b.csv': '22\n',
  'deep/er/ü 1\n2.csv': '333\n',
  'deep-er.csv': '4\n',
  'deep/gone.csv': '5\n',
  'node_modules/x.csv': '6\n',
};

const opened: GitRevisions[] = [];
afterEach(async () => {
  for (const revisions of opened.splice(0)) await revisions.close();
});

/** Some commits, the last of them a while ago; then whatever is done to the work tree. */
async function changed(change: (git: ScriptedGit) => void): Promise<ScriptedGit> {
  const git = new ScriptedGit(temporaryFolder()).init();
  git.commit('first', FILES);
  change(git);
  await new Promise((resolve) => setTimeout(resolve, 60));
  return git;
}

async function asked(folder: string): Promise<GitRevisions> {
  const revisions = await GitRevisions.open(folder, undefined, ['HEAD']);
  opened.push(revisions);
  return revisions;
}

/** What git tells, what is listed by it, and what a walk lists. */
async function listings(folder: string) {
  const told = await (await asked(folder)).workPaths();
  const listed = await new NodeRepositoryFiles(folder, { toldPaths: () => Promise.resolve(told) }).list('');
  const walked = await new NodeRepositoryFiles(folder).list('');
  return { told, listed: { ...listed, at: 0 }, walked: { ...walked, at: 0 } };
}

const AS_WALKED: Readonly<Record<string, (git: ScriptedGit) => void>> = {
  'that is as it was committed': () => undefined,
  'with files that git does not know, or is to ignore': (git) => {
    git.put({ 'new.csv': 'n', 'other/new.csv': 'n', '.gitignore': 'ignored\n', ignored: 'i', 'deep/ignored/x': 'i' });
  },
  'with files removed, written and renamed': (git) => {
    git.put({ 'deep/gone.csv': null, 'a.csv': '2\n' });
    renameSync(join(git.folder, 'deep-er.csv'), join(git.folder, 'renamed.csv'));
  },
  'with what no walk looks into': (git) => {
    git.put({ 'node_modules/y.csv': 'y', 'deep/node_modules/z.csv': 'z', [`deep/${temporaryName()}`]: 'half' });
  },
  'with names that differ by case alone': (git) => {
    git.git('config', 'core.ignoreCase', 'true');
    git.put({ 'A.csv': 'other', 'DEEP/b.csv': 'other' });
  },
  'with a pipe in it': (git) => {
    execFileSync('mkfifo', [join(git.folder, 'pipe.csv')]);
  },
  'that is sparse': (git) => {
    git.git('sparse-checkout', 'set', '--no-cone', '/*', '!/deep/er/');
  },
  'whose repository has another one behind a name that is skipped': (git) => {
    new ScriptedGit(join(git.folder, 'node_modules/inner')).init().commit('inner', { 'i.csv': '1\n' });
    git.git('reset', '-q');
  },
};

const OTHERWISE: Readonly<Record<string, (git: ScriptedGit) => void>> = {
  'with a link that is committed': (git) => {
    symlinkSync('a.csv', join(git.folder, 'link.csv'));
    git.commit('link');
  },
  'with a repository in it': (git) => {
    new ScriptedGit(join(git.folder, 'inner')).init().commit('inner', { 'i.csv': '1\n' });
  },
  'with a repository in it that is committed': (git) => {
    new ScriptedGit(join(git.folder, 'inner')).init().commit('inner', { 'i.csv': '1\n' });
    git.git('-c', 'advice.addEmbeddedRepo=false', 'add', 'inner');
    git.git('commit', '-q', '-m', 'inner');
  },
  'with a file that is merely meant to be added': (git) => {
    git.put({ 'later.csv': '1\n' });
    git.git('add', '--intent-to-add', 'later.csv');
  },
  'that is deeper than a walk goes': (git) => {
    git.put({ [`${'d/'.repeat(65)}x.csv`]: '1\n' });
  },
};

/** What only a look at the files shows. */
const SEEN_LATER: Readonly<Record<string, (git: ScriptedGit) => void>> = {
  'with a link that git does not know': (git) => {
    symlinkSync('a.csv', join(git.folder, 'link.csv'));
  },
  'with a link in the place of a file': (git) => {
    rmSync(join(git.folder, 'deep-er.csv'));
    symlinkSync('a.csv', join(git.folder, 'deep-er.csv'));
  },
  'with a link in the place of a folder': (git) => {
    renameSync(join(git.folder, 'deep'), join(git.folder, 'moved'));
    symlinkSync('moved', join(git.folder, 'deep'));
  },
  'with a link out of it in the place of a folder': (git) => {
    rmSync(join(git.folder, 'deep'), { recursive: true });
    symlinkSync(temporaryFolder({ 'b.csv': 'outside' }), join(git.folder, 'deep'));
  },
  'with a folder in the place of a file': (git) => {
    git.put({ 'a.csv': null, 'a.csv/inner.csv': '1\n' });
  },
};

describe.runIf(process.platform === 'linux')('paths that git tells of a work tree', () => {
  it.each(Object.entries(AS_WALKED))('are those of a walk: one %s', async (_, change) => {
    const { told, listed, walked } = await listings((await changed(change)).folder);
    expect(told).toBeDefined();
    expect(told).toEqual(expect.arrayContaining(walked.files.map(({ path }) => path)));
    expect(listed).toEqual(walked);
  });

  it.each(Object.entries(OTHERWISE))('are not told, so that a walk lists them: one %s', async (_, change) => {
    const { told, listed, walked } = await listings((await changed(change)).folder);
    expect(told).toBeUndefined();
    expect(listed).toEqual(walked);
  });

  it.each(Object.entries(SEEN_LATER))('are left for a walk once they are looked at: one %s', async (_, change) => {
    const { told, listed, walked } = await listings((await changed(change)).folder);
    expect(told).toBeDefined();
    expect(walked.problems.length + walked.files.length).toBeGreaterThan(0);
    expect(listed).toEqual(walked);
  });

  it('are those below the folder of the repository', async () => {
    const git = await changed(({ folder }) => {
      put(folder, 'deep/new.csv', 'n');
      mkdirSync(join(folder, 'deep/empty'));
    });
    const { told, listed, walked } = await listings(join(git.folder, 'deep'));
    expect(told).toEqual(['b.csv', 'er/ü 1\n2.csv', 'gone.csv', 'new.csv']);
    expect(listed).toEqual(walked);
  });

  it('are not told where the index was written since git was asked, or right before', async () => {
    const git = await changed(() => undefined);
    const revisions = await asked(git.folder);
    git.git('rm', '-q', '--cached', 'a.csv');
    expect(await revisions.workPaths()).toBeUndefined();
    expect(await (await asked(git.folder)).workPaths()).toBeUndefined();
  });

  it('are those of the first list alone: what came since is in the next', async () => {
    const git = await changed(() => undefined);
    const revisions = await asked(git.folder);
    const files = new NodeRepositoryFiles(git.folder, { toldPaths: () => revisions.workPaths() });
    const names = async () => (await files.list('')).files.map(({ path }) => path);
    expect(await names()).not.toContain('new.csv');
    git.put({ 'new.csv': 'n' });
    expect(await names()).toContain('new.csv');
  });

  it('are not asked for where nothing was asked ahead', async () => {
    const git = await changed(() => undefined);
    const revisions = await GitRevisions.open(git.folder);
    opened.push(revisions);
    expect(await revisions.workPaths()).toBeUndefined();
  });
});
