import { describe, expect, it } from 'vitest';
import { bandsOf } from '../../src/review/bands';
import { aReference, aResult, judge, softer } from './scenario';

describe('bands', () => {
  it('are maximal runs of neighbouring speeds of one side, verdict and sign', () => {
    const drift = (side: 'compression' | 'rebound', v: number): number => {
      if (side === 'compression') return 0;
      if (v < 0.25) return softer(side, 60); // fail, softer
      if (v < 0.45) return softer(side, -90); // fail, harder
      return v > 0.9 ? softer(side, 180) : 0; // fail at the top
    };
    const { bands } = judge({ table: aResult({ drift }) });
    expect(bands.map((b) => [b.side, b.from, b.to, b.verdict, b.direction])).toEqual([
      ['compression', 0.1, 1.0, 'pass', undefined],
      ['rebound', 0.1, 0.2, 'fail', 'softer'],
      ['rebound', 0.3, 0.4, 'fail', 'harder'],
      ['rebound', 0.5, 0.8, 'pass', undefined],
      ['rebound', 1.0, 1.0, 'fail', 'softer'],
    ]);
  });

  it('take the worst verdict over the settings', () => {
    const settings = [DELIVERY_OPEN, [8, 3, 6]];
    const reference = aReference();
    const both = { ...reference, rows: settings.flatMap((setting) => reference.rows.map((r) => ({ ...r, setting }))) };
    const drift = (side: string, v: number, setting: readonly number[]) =>
      setting[2] === 6 && side === 'rebound' && v < 0.25 ? 80 : 0;
    const result = judge({ reference: both, table: aResult({ settings, drift }) });
    const failed = result.bands.filter((b) => b.verdict === 'fail');
    expect(failed).toHaveLength(1);
    expect(failed[0]!.points.map((i) => result.points[i]!.setting['R'])).toEqual([6, 6]);
    expect(result.findings[0]!.message).toContain('at R 6');
  });

  it('are none where nothing is judged', () => {
    expect(bandsOf([])).toEqual([]);
  });
});

const DELIVERY_OPEN = [8, 3, 12];
