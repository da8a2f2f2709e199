import { describe, expect, it } from 'vitest';
import { inertiaUnknown, massStiffness } from '../../../src/analysis/loops/inertia';
import type { LoopMeasure } from '../../../src/analysis/runAnalysis';
import { analysePlain, RATE_AT_MIDDLE, runPlain } from '../plainDamper';

const MASS = 5;
/** At 0.6 m/s over 25 mm: omega = 24 rad/s, so that 5 kg add 5 x 576 x 25 mm = 72 N at the ends, inward at the outer one. */
const AT_THE_ENDS = 72;

describe('mass between load cell and damper', () => {
  it('is removed with its sign: the loop is that of the damper alone', async () => {
    const bare = (await runPlain()).log;
    const carried = (await runPlain({ bench: { movingMass: MASS } })).log;
    const wanted = loopAt(analysePlain([bare]).loops, 0.6);
    const known = loopAt(analysePlain([carried], { bench: { movingMass: MASS } }).loops, 0.6);
    const unknown = loopAt(analysePlain([carried]).loops, 0.6);
    expect(furthest(known, wanted)).toBeLessThan(1.5);
    expect(furthest(unknown, wanted) / AT_THE_ENDS).toBeCloseTo(1, 0.9);
    // The cell reads damper force + m a, and a is -omega^2 x: less at the inner end.
    const inner = unknown.displacement.reduce((most, x, i) => (x > unknown.displacement[most]! ? i : most), 0);
    expect(unknown.force[inner]! - wanted.force[inner]!).toBeLessThan(-60);
  });

  it('takes its part out of the slope of gas, and leaves the force at peak speed alone', async () => {
    // A creep step of 100 mm/s over 25 mm: 4 rad/s; 100 kg look like -1600 N/m of gas.
    const test = { velocities: [0.1, 0.3], bench: { movingMass: 100 } };
    const { log } = await runPlain(test);
    const known = analysePlain([log], { bench: { movingMass: 100 } });
    const unknown = analysePlain([log]);
    expect(known.gas.rate! / RATE_AT_MIDDLE).toBeCloseTo(1, 1);
    expect(unknown.gas.rate! - known.gas.rate!).toBeCloseTo(-1600, -1.7);
    known.points.forEach((point, i) => {
      expect(point.force).toBe(unknown.points[i]!.force);
    });
  });

  it('leaves loop findings notes where it is not stated and acceleration is above 30 m/s2', async () => {
    const { log } = await runPlain({ velocities: [0.6, 0.9] });
    // 0.6 x 24 = 14.4 and 0.9 x 36 = 32.4 m/s2
    expect(log.steps.map((step) => inertiaUnknown(step, undefined))).toEqual([false, true]);
    expect(log.steps.map((step) => inertiaUnknown(step, { movingMass: 0 }))).toEqual([false, false]);
    expect(massStiffness(log.steps[0]!, { movingMass: MASS })).toBeCloseTo(MASS * 576, -0.5);
    expect(massStiffness({ ...log.steps[0]!, drive: 'triangle' }, { movingMass: MASS })).toBe(0);
  });
});

function loopAt(loops: readonly LoopMeasure[], speed: number): LoopMeasure['curve'] {
  return loops.find((loop) => Math.abs(loop.speed / speed - 1) < 0.01)!.curve;
}

/** Largest difference of two loops, the parts next to the turning points left out, where friction jumps. */
function furthest(a: LoopMeasure['curve'], b: LoopMeasure['curve']): number {
  return a.force.reduce(
    (most, force, i) => (Math.abs(a.velocity[i]!) < 0.1 ? most : Math.max(most, Math.abs(force - b.force[i]!))),
    0,
  );
}
