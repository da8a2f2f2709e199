import { describe, expect, it } from 'vitest';
import { readPathPattern } from '../../../src/files/log/pathPattern';

const read = (pattern: string, path: string) => {
  const values = readPathPattern(pattern, path);
  return values === undefined ? undefined : Object.fromEntries(values);
};

describe('readPathPattern', () => {
  it.each([
    [
      'incoming/{serial}/{build}/{setting.R}.csv',
      'incoming/F-017/2/6.csv',
      { serial: 'F-017', build: '2', 'setting.R': '6' },
    ],
    ['{serial}-{build}.csv', 'F-017-2.csv', { serial: 'F-017', build: '2' }],
    ['log_{serial}_r{setting.R}.csv', 'log_A_b_r6.csv', { serial: 'A_b', 'setting.R': '6' }],
    ['a/b.csv', 'a/b.csv', {}],
    ['{serial}{build}.csv', 'F172.csv', { serial: 'F17', build: '2' }],
  ])('fits %s to %s', (pattern, path, values) => {
    expect(read(pattern, path)).toEqual(values);
  });

  it.each([
    ['incoming/{serial}.csv', 'F-1.csv'],
    ['{serial}.csv', 'a/b.csv'],
    ['{serial}.csv', '.csv'],
    ['x{serial}.csv', 'y1.csv'],
    ['{serial}-{build}.csv', '-2.csv'],
    ['{serial}-{build}.csv', 'F2.csv'],
    ['ab{serial}.csv', 'xab1.csv'],
  ])('does not fit %s to %s', (pattern, path) => {
    expect(read(pattern, path)).toBeUndefined();
  });

  it('takes its time in proportion to a hostile pattern, not to a power of it', () => {
    expect(read(`${'{a}x'.repeat(100)}y`, 'x'.repeat(255))).toBeUndefined();
  });
});
