import { describe, expect, it } from 'vitest';
import { NearDigressive } from '../../../src/analysis/shape/nearDigressive';
import { sideCurve } from '../../../src/analysis/shape/sideCurve';
import { shapeOfSide } from '../../../src/analysis/shape/sideShape';
import { softPlus } from '../../../src/analysis/shape/softPlus';
import { isSurelyDigressive } from '../../../src/analysis/shape/surelyDigressive';
import type { RandomSource } from '../../simulator/random';
import { createRandom } from '../../simulator/random';
import { thorough } from '../../thorough';

const REFERENCES = thorough ? 3_000 : 250;

interface Curve {
  readonly speeds: readonly number[];
  readonly forces: readonly number[];
}

/** A reference of which most are digressive: next to one that falls above its knee, next to a straight one, or any. */
function randomReference(random: RandomSource): Curve {
  const count = Math.floor(random.uniform(6, 18));
  const growth = random.uniform(0.9, 2.2);
  const speeds = Array.from({ length: count }, (_, i) => ((i + 1) / count) ** growth);
  const ratio = [random.uniform(-0.02, 0.1), random.uniform(0.55, 0.8), random.uniform(0.1, 0.55)][
    Math.floor(random.uniform(0, 3))
  ]!;
  const [knee, start] = [random.uniform(0.04, 0.5), random.uniform(-20, 200)];
  const [size, noise] = [random.uniform(600, 6000), random.uniform(0, 0.01)];
  const s = random.uniform(0.01, 0.4) * knee;
  const forces = speeds.map(
    (v) => (start + size * (v + (ratio - 1) * s * softPlus((v - knee) / s))) * (1 + noise * random.normal()),
  );
  return { speeds, forces };
}

/** Directions that turn a curve into another kind, up to where the largest step is 1: its end falls, it straightens out; and scatter. */
const DIRECTIONS: readonly ((at: number, random: RandomSource) => number)[] = [
  (at) => -(at ** 2),
  (at) => -(at ** 6),
  (at) => at - 0.5,
  (at) => Math.sqrt(at),
  (at) => -2 * Math.max(0, at - 0.5),
  (at) => -5 * Math.max(0, 0.2 - at),
  (_, random) => random.normal(),
];

function moved({ speeds, forces }: Curve, size: number, random: RandomSource): Curve {
  const direction = DIRECTIONS[Math.floor(random.uniform(0, DIRECTIONS.length))]!;
  const [scale, spread, shift] = [random.uniform(0.3, 3), random.uniform(0, 0.004), random.uniform(-0.001, 0.001)];
  const top = speeds.at(-1)!;
  return {
    speeds: speeds.map((speed) => speed * (1 + shift + random.uniform(-spread, spread))),
    forces: forces.map((force, i) => scale * force * (1 + size * direction(speeds[i]! / top, random))),
  };
}

describe('curves near a digressive one', () => {
  it('are digressive by the fit as well, also those that are only just near enough', () => {
    const random = createRandom(81);
    const counts = { references: 0, held: 0, farthest: 0, wrong: 0 };
    for (let i = 0; i < REFERENCES; i++) {
      const reference = randomReference(random);
      const near = NearDigressive.about(reference.speeds, reference.forces);
      if (near === undefined) continue;
      counts.references++;
      for (let k = 0; k < 24; k++) {
        const size = random.uniform(0, 0.25);
        const { speeds, forces } = moved(reference, size, random);
        if (!near.holds(speeds, forces)) continue;
        counts.held++;
        counts.farthest = Math.max(counts.farthest, size);
        const { kind } = shapeOfSide(speeds, forces);
        if (kind !== 'digressive' && kind !== 'undecided') counts.wrong++;
      }
    }
    expect(counts.wrong).toBe(0);
    expect(counts.references).toBeGreaterThan(REFERENCES / 5);
    expect(counts.held).toBeGreaterThan(counts.references);
    expect(counts.farthest).toBeGreaterThan(0.05);
  });

  it('holds a damper of the usual kind that was run as planned, also where it is softer as a whole', () => {
    const random = createRandom(82);
    const speeds = [0.025, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1];
    const forces = speeds.map((v) => 280 + 4000 * (v - 0.9 * 0.03 * softPlus((v - 0.14) / 0.03)));
    const near = NearDigressive.about(speeds, forces)!;
    for (let i = 0; i < 200; i++) {
      const run = speeds.map((speed) => speed * (1 + random.uniform(-0.001, 0.001)));
      const own = forces.map((force) => 0.9 * force * (1 + 0.003 * random.normal()));
      expect(near.holds(run, own)).toBe(true);
      expect(isSurelyDigressive(sideCurve(run, own, []))).toBe(true);
    }
    // A side that is straight above the first speeds is of another kind, and 26 mm/s is another speed.
    expect(
      near.holds(
        speeds,
        speeds.map((v) => 300 + 1500 * v),
      ),
    ).toBe(false);
    expect(near.holds([0.026, ...speeds.slice(1)], forces)).toBe(false);
    expect(near.holds(speeds, [NaN, ...forces.slice(1)])).toBe(false);
    expect(
      near.holds(
        speeds,
        forces.map((force) => -force),
      ),
    ).toBe(false);
  });

  it('are told of no curve that is not digressive itself, has few speeds or a narrow range of them, or a force of nearly nothing', () => {
    const speeds = [0.05, 0.08, 0.2, 0.4, 0.6, 0.8, 1];
    const digressive = [400, 700, 800, 900, 1000, 1100, 1200];
    expect(NearDigressive.about(speeds, digressive)).toBeDefined();
    expect(
      NearDigressive.about(
        speeds,
        speeds.map((v) => 100 + 2000 * v),
      ),
    ).toBeUndefined();
    expect(NearDigressive.about(speeds, [400, 700, 800, 900, 800, 700, 600])).toBeUndefined();
    expect(NearDigressive.about(speeds.slice(0, 5), digressive.slice(0, 5))).toBeUndefined();
    expect(
      NearDigressive.about(
        speeds.map((v) => v + 0.3),
        digressive,
      ),
    ).toBeUndefined();
    expect(NearDigressive.about(speeds, [10, 700, 800, 900, 1000, 1100, 1200])).toBeUndefined();
    expect(NearDigressive.about([], [])).toBeUndefined();
  });
});
