import { describe, expect, it } from 'vitest';
import type { UncertaintyPart } from '../../src/analysis/runAnalysis';
import { expandUncertainty } from '../../src/analysis/uncertainty/expand';

const combined = (...parts: readonly number[]): number => {
  const named = parts.map((u): UncertaintyPart => ({ name: 'cycles', u, df: Infinity }));
  const { U, coverageFactor } = expandUncertainty(named, true);
  return U / coverageFactor;
};

describe('independent scatters combine by the root of the sum of squares', () => {
  // Gauge study of 10 parts, 3 appraisers, 3 trials: AIAG, Measurement Systems Analysis. Only its combining formulas are checked.
  it('equipment and appraiser to the gauge, gauge and parts to the whole', () => {
    const gauge = combined(0.20186, 0.22967);
    expect(gauge).toBeCloseTo(0.30577, 4.7);
    const whole = combined(0.30577, 1.1046);
    expect(whole).toBeCloseTo(1.14613, 4.7);
    expect(Number(((100 * 0.30577) / whole).toFixed(2))).toBe(26.68);
  });
});
