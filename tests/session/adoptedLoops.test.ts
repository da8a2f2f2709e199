import { describe, expect, it } from 'vitest';
import { LOGS, logText, openWorkshop, REFERENCES, resultOf, textOf, told, workshopFiles } from './workshop';

const CHATTER = { chatter: { side: 'rebound', aboveSpeed: 0.05, rms: 5, frequency: 90 } } as const;
const ROUGH = 'dampers/F-020/build-1/rough.testlog.csv';
const FIRST = 'dampers/F-021/build-1/first.testlog.csv';

const rough = logText({ serial: 'F-020', seed: 21, faults: CHATTER });
const original = await workshopFiles();
const adoptedFrom = (path: string): string => `# adopted: {from: ${path}}\n${textOf(original, REFERENCES.front)}`;

async function roughOnes(changes: Readonly<Record<string, string>>) {
  const { session } = await openWorkshop({ [ROUGH]: rough, ...changes });
  const outcome = await session.review([]);
  return { rough: told(outcome, 'loop-rough').map((text) => text.split(/[ :]/u)[1]), session, outcome };
}

describe('ripple of a model whose reference ripples too', () => {
  it('is told of a unit by itself, and not where the adopted loop ripples as much', async () => {
    expect((await roughOnes({})).rough).toEqual([ROUGH]);
    const like = logText({ serial: 'F-021', seed: 22, faults: CHATTER });
    const changes = { [FIRST]: like, [REFERENCES.front]: adoptedFrom(FIRST) };
    // The adopted one is held against noise alone: against itself nothing is rough.
    expect((await roughOnes(changes)).rough).toEqual([FIRST]);
  });

  it('is told where the adopted loop is smooth, is not there, or ripples at another side', async () => {
    expect((await roughOnes({ [REFERENCES.front]: adoptedFrom(resultOf(LOGS.one)) })).rough).toEqual([ROUGH]);
    expect((await roughOnes({ [REFERENCES.front]: adoptedFrom('dampers/F-099/x.result.csv') })).rough).toEqual([ROUGH]);
    const other = logText({
      serial: 'F-021',
      seed: 22,
      faults: { chatter: { ...CHATTER.chatter, side: 'compression' } },
    });
    const changes = { [FIRST]: other, [REFERENCES.front]: adoptedFrom(FIRST) };
    expect((await roughOnes(changes)).rough).toEqual([ROUGH, FIRST]);
  });

  it('reads no log of the reference for results that are smooth', async () => {
    const { session } = await openWorkshop({ [REFERENCES.front]: adoptedFrom(resultOf(LOGS.one)) });
    await session.review([LOGS.two]);
    expect(session.counts()['adopted ripple'] ?? 0).toBe(0);
  });
});
