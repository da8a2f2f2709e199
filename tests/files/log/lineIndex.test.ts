import { describe, expect, it } from 'vitest';
import { LineIndex } from '../../../src/files/log/lineIndex';
import { createRandom } from '../../simulator/random';

describe('LineIndex', () => {
  it('finds every line among gaps of every kind', () => {
    const random = createRandom(7);
    for (let run = 0; run < 200; run++) {
      const index = new LineIndex();
      const lines: number[] = [];
      let line = random.integer(1, 300);
      const regular = random.chance(0.5);
      for (let step = 0; step < 500; step++) {
        const rows = regular ? 10 : random.pick([0, 1, 1, 2, 5, 400]);
        index.add(line, rows);
        for (let row = 0; row < rows; row++) lines.push(line++);
        line += regular && step % 50 !== 0 ? 1 : random.pick([0, 1, 1, 3, 200, 100_000]);
      }
      expect(index.rows).toBe(lines.length);
      expect(lines.every((expected, row) => index.lineOf(row) === expected)).toBe(true);
      expect(index.lineOf(lines.length + 5)).toBe(lines.at(-1));
    }
  });

  it('needs few bytes where lines between rows come at a regular pace, and about three a row at worst', () => {
    const regular = new LineIndex();
    const worst = new LineIndex();
    const random = createRandom(1);
    for (let row = 0, line = 1; row < 100_000; row++) {
      regular.add(1 + 2 * row, 1);
      worst.add(line, 1);
      line += random.integer(2, 9);
    }
    const bytesOf = (index: LineIndex): number => (index as unknown as { bytes: Uint8Array }).bytes.length;
    expect(bytesOf(regular)).toBe(64);
    expect(bytesOf(worst)).toBeLessThan(600_000);
    expect(regular.lineOf(99_999)).toBe(199_999);
  });

  it('has no line before there are rows', () => {
    expect(new LineIndex().lineOf(0)).toBe(0);
  });
});
