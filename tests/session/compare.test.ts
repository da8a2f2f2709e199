import { describe, expect, it } from 'vitest';
import { SessionFault } from '../../src/session/sessionFault';
import { LOGS, logText, openWorkshop, REFERENCES, resultOf, SPECS, specText } from './workshop';

async function refusal(work: Promise<unknown>): Promise<string> {
  try {
    await work;
    return 'no error';
  } catch (error) {
    return error instanceof SessionFault ? `${error.message} ${error.remedy}` : String(error);
  }
}

describe('comparing', () => {
  it('takes results, logs, references, folders and SERIAL/BUILD for the same thing', async () => {
    const { session } = await openWorkshop();
    const byName = await session.compare('F-001/1', 'F-002/1');
    expect([byName.a.serial, byName.b.serial, byName.a.file, byName.b.file]).toEqual([
      'F-001',
      'F-002',
      resultOf(LOGS.one),
      resultOf(LOGS.two),
    ]);
    expect(byName.points).toHaveLength(6);
    expect(byName.mean.rebound).toBeGreaterThan(0.15); // a fifth softer, as the unit was made: less negative
    expect(byName.mean.rebound).toBeLessThan(0.25);
    expect(Math.abs(byName.mean.compression!)).toBeLessThan(0.02);
    for (const [a, b] of [
      [resultOf(LOGS.one), resultOf(LOGS.two)],
      [LOGS.one, LOGS.two],
      ['dampers/F-001', 'dampers/F-002/build-1'],
      ['F-001/1', LOGS.two],
    ] as const) {
      expect((await session.compare(a, b)).points).toEqual(byName.points);
    }
    const reference = await session.compare(REFERENCES.front, 'F-001/1');
    expect(reference.points.every((point) => Math.abs(point.difference) < 0.051)).toBe(true); // it is that result, rounded
  });

  it('takes the latest test of a build', async () => {
    const later = 'dampers/F-001/build-1/later.testlog.csv';
    const { session } = await openWorkshop({ [later]: logText({ serial: 'F-001', seed: 30, date: '2026-03-05' }) });
    expect((await session.compare('F-002/1', 'F-001/1')).b.file).toBe(later);
    expect(await refusal(session.compare('F-002/1', 'dampers/F-001'))).toContain(later);
  });

  it('lets a path that exists win over a name', async () => {
    const folder = 'F-002/1/x.testlog.csv';
    const { session } = await openWorkshop({ [folder]: logText({ serial: 'F-020', seed: 31 }) });
    expect((await session.compare('F-001/1', 'F-002/1')).b.serial).toBe('F-020');
  });

  it('says what differs in the specs', async () => {
    const { session } = await openWorkshop();
    const { specChanges } = await session.compare('F-001/1', 'R-001/1');
    expect(specChanges.map(({ key }) => key)).toEqual(['id', 'reference']);
    const moved = await openWorkshop({ [SPECS.rear]: specText('birch-rear', '7 %') });
    expect((await moved.session.compare('F-001/1', 'R-001/1')).specChanges).toContainEqual({
      key: 'tolerance.rebound.harder.relative',
      a: '0.05',
      b: '0.07',
    });
    expect((await session.compare('F-001/1', 'F-002/1')).specChanges).toEqual([]);
  });

  it('refuses what names nothing or several things, and says what could be meant', async () => {
    const { session } = await openWorkshop({
      'dampers/F-001/build-1/other.testlog.csv': logText({ serial: 'F-001', spec: 'birch-rear', seed: 32 }),
      'x/broken.testlog.csv': 'time [s],displacement [mm],force [N]\n0,0,zero\n',
      'x/hot.testlog.csv': logText({ serial: 'F-007', seed: 1, more: ['kind: endurance'] }),
    });
    expect(await refusal(session.compare('F-009/1', 'F-002/1'))).toContain('F-001/1, F-002/1, F-003/1, R-001/1');
    expect(await refusal(session.compare('F-001/1', 'F-002/1'))).toContain('several specs');
    expect(await refusal(session.compare('specs', 'F-002/1'))).toContain('holds no result');
    expect(await refusal(session.compare(SPECS.front, 'F-002/1'))).toContain('neither a result');
    expect(await refusal(session.compare('x/broken.testlog.csv', 'F-002/1'))).toContain('x/broken.testlog.csv:2:');
    expect(await refusal(session.compare('x/hot.testlog.csv', 'F-002/1'))).toContain('no curve of its own');
    expect(await refusal(session.compare('nothing@HEAD', 'F-002/1'))).toContain('no file of the repository');
  });
});
