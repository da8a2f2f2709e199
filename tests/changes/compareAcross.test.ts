import { describe, expect, it } from 'vitest';
import { compareAcross, splitRevision } from '../../src/changes/compareAcross';
import { GitRevisions } from '../../src/platform/node/gitRevisions';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { fixedClock } from '../../src/platform/memory/memoryServices';
import { temporaryFolder } from '../platform/temporaryFolder';
import { ScriptedGit } from '../repositories/scriptedGit';
import type { RepositoryFiles } from '../../src/ports/repositoryFiles';
import { ReviewSession } from '../../src/session/reviewSession';
import { LOGS, logText, resultOf, SPECS, specText, TODAY, workshopFiles } from '../session/workshop';

function sessionOn(files: RepositoryFiles): ReviewSession {
  return new ReviewSession({ files, digest: nodeDigest, gunzip: nodeGunzip(), clock: fixedClock(TODAY) });
}

const never = (): Promise<never> => Promise.reject(new Error('the history was asked for'));

describe('a name with a revision', () => {
  it('is split at the first @ whose left part exists', async () => {
    const asked: string[] = [];
    const revisions = () =>
      Promise.resolve({
        resolve: (name: string) => {
          asked.push(name);
          return Promise.resolve(`commit of ${name}`);
        },
      } as unknown as GitRevisions);
    const here = new Set(['a@b.csv', 'a', 'x']);
    const split = (text: string) => splitRevision(text, (name) => Promise.resolve(here.has(name)), revisions);
    expect(await split('a@b.csv')).toEqual({ label: 'a@b.csv', name: 'a@b.csv' });
    expect(await split('a@b.csv@main')).toEqual({ label: 'a@b.csv@main', name: 'a', commit: 'commit of b.csv@main' });
    expect(await split('x@main@{1}')).toMatchObject({ name: 'x', commit: 'commit of main@{1}' });
    expect(await split('gone.csv@v1')).toMatchObject({ name: 'gone.csv', commit: 'commit of v1' });
    expect(await splitRevision('F-001/1', () => Promise.resolve(false), never)).toEqual({
      label: 'F-001/1',
      name: 'F-001/1',
    });
    expect(asked).toEqual(['b.csv@main', 'main@{1}', 'v1']);
  });
});

describe('two states of the repository', () => {
  it('are compared file by file, build by build, and the spec key by key', async () => {
    const git = new ScriptedGit(temporaryFolder()).init();
    const first = git.commit('first', await workshopFiles());
    git.commit('retuned', {
      [LOGS.one]: logText({ serial: 'F-001', seed: 1, reboundShare: 0.9 }),
      [resultOf(LOGS.one)]: null,
      [SPECS.front]: specText('alder-front', '7 %'),
    });
    const revisions = await GitRevisions.open(git.folder);
    const files = new NodeRepositoryFiles(git.folder);
    const work = { session: sessionOn(files), openAt: sessionOn, revisions: () => Promise.resolve(revisions) };
    const side = (text: string) =>
      splitRevision(text, async (name) => (await files.stat(name)) !== undefined, work.revisions);
    try {
      const byPath = await compareAcross(work, await side(`${LOGS.one}@HEAD~1`), await side(LOGS.one));
      expect(byPath.a.label).toBe(`${LOGS.one}@HEAD~1`);
      expect(byPath.mean.rebound).toBeGreaterThan(0.07); // a tenth softer, as it was made: less negative
      expect(byPath.mean.rebound).toBeLessThan(0.13);
      expect(byPath.specChanges.map(({ key, a, b }) => [key, a, b])).toContainEqual([
        'tolerance.rebound.softer.relative',
        '0.05',
        '0.07',
      ]);
      const byResult = await compareAcross(work, await side(`${resultOf(LOGS.one)}@${first}`), await side('F-001/1'));
      expect(byResult.points).toEqual(byPath.points);
      const byBuild = await compareAcross(work, await side('F-001/1@main~1'), await side('F-001/1@main'));
      expect(byBuild.points).toEqual(byPath.points);
      const same = await compareAcross(work, await side('F-001/1@main~1'), await side(`F-001/1@${first.slice(0, 9)}`));
      expect(same.specChanges).toEqual([]);
      expect(same.points.every(({ difference }) => difference === 0)).toBe(true);
      await expect(compareAcross(work, await side('F-009/1@main'), await side('F-001/1'))).rejects.toThrow('F-009/1');
      await expect(side(`${LOGS.one}@nothing`)).rejects.toThrow('names no commit');
    } finally {
      await revisions.close();
    }
  });
});
