import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { fixedClock } from '../../src/platform/memory/memoryServices';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import type { AdjusterReview } from '../../src/review/adjusters/adjusterReview';
import { energyOfStep } from '../../src/review/adjusters/adjusterWording';
import type { ReviewOutcome } from '../../src/review/judgedResult';
import { renderText } from '../../src/reports/text';
import { reviewDocument } from '../../src/reports/json';
import { ReviewSession } from '../../src/session/reviewSession';

/**
 * A friction damper whose band tension was set to 22, 25, 35 and 80 lb, one log each, read as one adjuster with a unit of its own.
 * Dataset-Friction-Damper-with-Backlash, ARTS-Laboratory (2022), CC BY-SA 4.0: see data/README.md, whose table gives 612.0, 719.0, 880.6
 * and 1037.9 J a cycle, so 35.7, 16.2 and 3.5 J per lb.
 */
const CONFIG = `formatVersion: 1
logs:
  - files: "friction_damper/*.csv"
    fromPath: "friction_damper/ds1_1Hz_{setting.T}lb.csv"
    preamble: { spec: open-friction, serial: FD-1, build: "1", kind: sweep, forceZero: unknown }
`;
const SPEC = `formatVersion: 1
id: open-friction
adjusters:
  T: { positions: [22, 25, 35, 80], unit: lb, countsFrom: open, acts: { side: both } }
tolerance: { clickStep: { least: 50 %, most: 150 %, law: equal } }
`;
const JOULE_PER_LB = [
  { from: 22, to: 25, energy: (719.0 - 612.0) / 3 },
  { from: 25, to: 35, energy: (880.6 - 719.0) / 10 },
  { from: 35, to: 80, energy: (1037.9 - 880.6) / 45 },
];

let outcome: ReviewOutcome;
let sweep: AdjusterReview;

beforeAll(async () => {
  const text = (content: string): Uint8Array => new TextEncoder().encode(content);
  const files: Record<string, Uint8Array> = {
    'damper-review.yaml': text(CONFIG),
    'open-friction.damper.yaml': text(SPEC),
  };
  for (const tension of [22, 25, 35, 80]) {
    const path = `friction_damper/ds1_1Hz_${tension}lb.csv`;
    files[path] = readFileSync(new URL(`data/${path}`, import.meta.url));
  }
  const session = new ReviewSession({
    files: new MemoryFiles(files),
    digest: nodeDigest,
    gunzip: nodeGunzip(),
    clock: fixedClock('2026-11-25'),
  });
  outcome = await session.review(['']);
  sweep = outcome.results[0]!.adjusters!.sweeps[0]!;
});

describe('the tension sweep of the friction damper', () => {
  it('is one sweep of one adjuster in its own unit, on both sides, per lb and never per row', () => {
    expect(outcome.results.length).toBe(1);
    expect(outcome.results[0]!.adjusters!.sweeps.length).toBe(1);
    expect(sweep).toMatchObject({ id: 'T', unit: 'lb', side: 'both', positions: [22, 25, 35, 80], reversed: false });
    expect(sweep.steps.map(({ from, to }) => [from, to])).toEqual(JOULE_PER_LB.map(({ from, to }) => [from, to]));
  });

  it('gains about 36, 16 and 3.5 J per lb', () => {
    for (const [i, { energy }] of JOULE_PER_LB.entries())
      expect(Math.abs(energyOfStep(sweep, sweep.steps[i]!)! / energy - 1)).toBeLessThan(0.06);
  });

  it('reports the steps as uneven, and as not judged for significance, since nothing was repeated', () => {
    expect(sweep.judging).toBe('not repeated');
    expect(sweep.steps.map(({ outsideLimits }) => outsideLimits)).toEqual([true, false, true]);
    expect(sweep.steps[1]!.ratio).toBeCloseTo(1, 6);
    const [finding, ...more] = outcome.findings.filter(({ rule }) => rule === 'click-step-uneven');
    expect(more).toEqual([]);
    expect(finding!.level).toBe('note');
    expect(finding!.message).toContain('2 steps of 3 are outside.');
    expect(finding!.message).toContain('Outside the limits, significance not judged, as no setting was run again.');
    expect(finding!.message).toMatch(/energy [\d.]+ J a lb/);
  });

  it('says so in the document and on the terminal', () => {
    const entry = reviewDocument(outcome).results[0]!.adjusters![0]!;
    expect(entry.steps.map(({ state }) => state)).toEqual(['outside limits', 'not judged', 'outside limits']);
    expect(entry.closed).toBeUndefined();
    const shown = renderText(outcome, { colour: false, width: 100 }).replace(/\s+/g, ' ');
    expect(shown).toContain('T on compression and rebound, 22 to 80 lb');
    expect(shown).toContain('significance not judged, as no setting was run again');
  });
});
