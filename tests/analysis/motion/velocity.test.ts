import { describe, expect, it } from 'vitest';
import { differentiate, velocityWindow } from '../../../src/analysis/motion/velocity';
import { savitzkyGolay } from '../../../src/analysis/statistics/savitzkyGolay';
import { createRandom } from '../../simulator/random';

describe('velocity from displacement', () => {
  it.each([
    [1000, 1, 83],
    [1000, 10, 9],
    [1000, 0.5, 167],
    [1024, 1, 85],
    [1000, 100, 5],
    [5000, 0.1, 4167],
  ])('window at %d Hz and %d cycles a second: %d samples', (rate, frequency, samples) => {
    expect(velocityWindow(1 / rate, frequency)).toBe(samples);
  });

  it.each([5, 7, 23, 61, 301])(
    'equals the Savitzky-Golay derivative of order 3 with %d samples, edges included',
    (window) => {
      const random = createRandom(window);
      const x = Float64Array.from({ length: 2000 }, (_, i) => 0.04 + 0.025 * Math.sin(i / 80) + 1e-5 * random.normal());
      const dt = 5e-4;
      const expected = savitzkyGolay(x, window, 3, 1, dt);
      const actual = new Float64Array(x.length);
      differentiate(x, actual, 0, x.length, 0, x.length, dt, window);
      const worst = Math.max(...actual.map((value, i) => Math.abs(value - expected[i]!)));
      expect(worst).toBeLessThan(1e-10);
    },
  );

  it('looks no farther than it may, and works on few samples', () => {
    const x = Float64Array.from({ length: 60 }, (_, i) => (i < 20 || i >= 40 ? NaN : 3 * i));
    const out = new Float64Array(60).fill(-1);
    differentiate(x, out, 22, 38, 20, 40, 1, 101);
    expect(Array.from(out.subarray(22, 38))).toEqual(Array.from({ length: 16 }, () => expect.closeTo(3, 9) as number));
    expect(out[21]).toBe(-1);
    expect(out[38]).toBe(-1);
    differentiate(x, out, 20, 23, 20, 23, 1, 9);
    expect(Array.from(out.subarray(20, 23))).toEqual([3, 3, 3]);
  });
});
