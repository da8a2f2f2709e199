import { describe, expect, it } from 'vitest';
import type { AdoptedRoughness } from '../../src/review/adoptedLoops';
import { settingKey } from '../../src/review/referenceCurves';
import { aLog, anAnalysis } from './logScenario';
import { aResult, DELIVERY, judge } from './scenario';

function roughFindings(ratio: number, samples: number, adoptedRoughness: readonly AdoptedRoughness[] = []): number {
  const roughness = [
    { key: { log: 0, step: 2 }, setting: DELIVERY, side: 'rebound', ratio, samples, amplitude: 6 },
  ] as const;
  const { findings } = judge({
    provenance: { kind: 'measured' },
    logs: [aLog()],
    table: aResult({ firstLine: 0 }),
    analysis: anAnalysis({ changes: { roughness } }),
    adoptedRoughness,
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

describe('ripple against the loop that the reference was adopted from', () => {
  const adopted = { setting: settingKey({ LSC: 8, HSC: 3, R: 6 }), side: 'rebound', speed: 0.3, ratio: 1.5 } as const;

  it('is told where it is more than the adopted one by the limit, at the same setting, side and speed', () => {
    expect(roughFindings(1.9, 1000, [adopted])).toBe(0); // 1.27 times 1.5
    expect(roughFindings(2, 1000, [adopted])).toBe(1); // 1.33 times
    expect(roughFindings(1.9, 1000, [{ ...adopted, speed: 0.4 }])).toBe(1);
    expect(roughFindings(1.9, 1000, [{ ...adopted, side: 'compression' }])).toBe(1);
    expect(roughFindings(1.9, 1000, [{ ...adopted, setting: settingKey({ LSC: 8, HSC: 3, R: 7 }) }])).toBe(1);
    expect(roughFindings(1.9, 1000, [{ ...adopted, ratio: 0.7 }])).toBe(1); // no smoother than noise allows
  });
});
