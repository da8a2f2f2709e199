import { describe, expect, it } from 'vitest';
import { FindingTally, rankOf } from '../../src/review/findingTally';

const waived = { reason: 'new seals', by: 'lead', until: '2026-06-30' };
const [error, note, waivedError] = [
  rankOf({ level: 'error' }),
  rankOf({ level: 'note' }),
  rankOf({ level: 'error', waived }),
];

describe('a tally of findings', () => {
  it('tells findings apart by rule, file, place and message', () => {
    const tally = new FindingTally();
    const base: [number, number, number, number, number] = [1, 2, 10, 4, 7];
    expect(tally.add(error, ...base)).toBe(0);
    base.forEach((value, i) => {
      const other = base.with(i, value + 20) as typeof base;
      expect([tally.add(note, ...other), tally.add(note, ...other)]).toEqual([i + 1, undefined]);
    });
    expect(tally.add(note, ...base)).toBeUndefined();
    expect([tally.size, tally.counts()]).toEqual([6, { error: 1, warning: 0, note: 5, waived: 0 }]);
  });

  it('has one that counts in the place of its waived twin, and never the other way round', () => {
    const tally = new FindingTally(3);
    expect(tally.add(waivedError, 1, 2, 3, 4, 5)).toBe(0);
    expect(tally.counts()).toEqual({ error: 0, warning: 0, note: 0, waived: 1 });
    expect(tally.add(note, 1, 2, 3, 4, 5)).toBe(0);
    expect(tally.add(waivedError, 1, 2, 3, 4, 5)).toBeUndefined();
    expect(tally.counts()).toEqual({ error: 0, warning: 0, note: 1, waived: 0 });
  });
});
