import { describe, expect, it } from 'vitest';
import { aLog, anAnalysis } from './logScenario';
import { aResult, DELIVERY, judge } from './scenario';

function roughFindings(ratio: number, samples: number): number {
  const roughness = [
    { key: { log: 0, step: 2 }, setting: DELIVERY, side: 'rebound', ratio, samples, amplitude: 6 },
  ] as const;
  const { findings } = judge({
    provenance: { kind: 'measured' },
    logs: [aLog()],
    table: aResult({ firstLine: 0 }),
    analysis: anAnalysis({ changes: { roughness } }),
  });
  return findings.filter(({ rule }) => rule === 'loop-rough').length;
}

describe('ripple of a step with few samples', () => {
  it('is left to chance where noise alone reaches it: 1.4 times over 40 places, not over 100', () => {
    expect(roughFindings(1.4, 40)).toBe(0);
    expect(roughFindings(1.4, 100)).toBe(1);
    expect(roughFindings(1.7, 40)).toBe(1);
  });
});
