import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import type { JudgedResult } from '../../src/review/judgedResult';
import { ReviewSession } from '../../src/session/reviewSession';
import { SessionFault } from '../../src/session/sessionFault';

/** The invented workshop, whose README says what was done to each build. */
const session = new ReviewSession({
  files: new NodeRepositoryFiles(join(import.meta.dirname, '../../samples')),
  digest: nodeDigest,
  gunzip: nodeGunzip(),
  clock: { today: () => '2026-08-01' },
});
const FRONT = 'dampers/F-003/build-1/delivery.result.csv';
let results: readonly JudgedResult[];
beforeAll(async () => {
  results = (await session.review(['dampers/F-002', 'dampers/F-003', 'dampers/R-003'])).results;
}, 120_000);

describe('what explains the drift of the samples', () => {
  it('is the LSC needle of F-003, three clicks out, and three clicks in mend it on a car', async () => {
    const { correction, result } = await session.correct('F-003/1');
    expect(result.file).toBe(FRONT);
    expect(correction.state).toBe('explained');
    expect(correction.terms[0]).toMatchObject({ cause: 'needle LSC', unit: 'click', minor: false });
    expect(Math.abs(correction.terms[0]!.value - 3)).toBeLessThan(0.25);
    expect(correction.conclusions[0]!.text).toContain('Needle zero of LSC is off by 3 clicks');
    const compression = correction.advice!.groups.find(({ sides }) => sides.includes('compression'))!;
    expect(compression).toMatchObject({ exact: true, worn: false });
    expect(compression.answers.map(({ setting }) => setting)).toEqual([{ LSC: 3, HSC: 4 }]);
    expect(result.verdict).toBe('fail');
  });

  it('is none of the causes for the rebound dip of F-002, and a needle at fault in the sweep of R-003', async () => {
    expect((await session.correct('F-002/2')).correction.state).toBe('none of these');
    const { correction } = await session.correct('dampers/R-003/build-2/sweep-R.result.csv');
    expect(correction.conclusions.map(({ text }) => text).join(' ')).toContain(
      'Rebound is right at fully closed (R 0) and off open: bleed or needle of R.',
    );
  });

  it('comes with a check where a result fails by its drift, and nowhere else', () => {
    const explained = results.filter(({ correction }) => correction !== undefined).map(({ file }) => file);
    expect(explained.sort()).toEqual([
      'dampers/F-002/build-2/delivery.result.csv',
      FRONT,
      'dampers/R-003/build-2/sweep-R.result.csv',
    ]);
  });

  it('is computed once for both, whatever names it', async () => {
    const before = session.counts()['correction'];
    for (const name of [FRONT, 'dampers/F-003/build-1', 'dampers/F-003/build-1/delivery.testlog.csv.gz'])
      expect((await session.correct(name)).result.file).toBe(FRONT);
    expect(session.counts()['correction']).toBe(before);
  });

  it.each([
    ['nowhere', /no result, test log or SERIAL\/BUILD/u],
    ['dampers', /holds \d+ results/u],
    ['specs/larch-front.damper.yaml', /neither a result nor a test log/u],
  ])('refuses %s with a reason and a remedy', async (name, reason) => {
    const refused = session.correct(name);
    await expect(refused).rejects.toThrow(SessionFault);
    await expect(refused).rejects.toThrow(reason);
  });
});
