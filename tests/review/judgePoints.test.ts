import { describe, expect, it } from 'vitest';
import type { ForceRow, ForceTable } from '../../src/files/forceTable';
import { isJudged, worseThan } from '../../src/review/bands';
import { basisOfReference, compareBasis } from '../../src/review/basis';
import type { JudgedPoint } from '../../src/review/judgedResult';
import type { JudgeInput } from '../../src/review/judgeInput';
import { worstPointOf } from '../../src/review/lazyPoints';
import { judgePoints } from '../../src/review/judgePoints';
import { shapedAt, type ShapedPoint } from '../../src/review/shapedPoints';
import { textTeller } from '../../src/reports/text';
import { createRandom } from '../simulator/random';
import { aReference, aResult, aSpec, anInput, DELIVERY, judge, softer } from './scenario';

describe('what is counted of the points of a result', () => {
  it('is what the points themselves say, whatever keeps some of them undecided', () => {
    const source = createRandom(11);
    const random = (): number => source.next();
    const seen = { fail: 0, undecided: 0, pass: 0, force: 0, curve: 0 };
    for (let i = 0; i < 400; i++) {
      const input = aFlawedTest(random);
      const judged = judgePoints(input, compareBasis(input.table.basis, basisOfReference(input.reference!, 0.05)));
      const { verdict, worst, worstPoint, coarsest, lacksConstantForce, lacksReference } = judged;
      const { points } = judged;
      expect(judged.count).toBe(points.length);
      expect(judged.judged).toBe(points.filter(isJudged).length);
      expect(verdict).toBe(worstVerdictOf(points));
      expect(worst).toBe(worstOf(points));
      expect(worstPoint).toEqual(points[worst]);
      expect(judged.worstPoint).toBe(points[worst]);
      expect(coarsest).toBe(Math.max(-Infinity, ...points.filter(isJudged).map(ratioOf).filter(Number.isFinite)));
      expect(lacksConstantForce).toBe(points.some((p) => p.cause === 'constant force'));
      expect(lacksReference).toBe(points.some((p) => p.cause === 'reference'));
      expect(judged.worstSetting).toEqual(points[worst]?.setting);
      for (const { setting } of points.filter((p, k) => points[k - 1]?.setting !== p.setting)) {
        const shaped = shapedAt(points, setting);
        const shown: unknown[] = [];
        judged.eachAt(setting, (point) => shown.push(curveNumbers(point)));
        expect(shown).toEqual(shaped.map(curveNumbers));
        expect(judged.shapedSetting({ ...setting })).toEqual(shaped[0]?.setting);
      }
      expect(judged.shapedSetting({ LSC: 1 })).toBeUndefined();
      expect(judged.shapedSetting(undefined)).toEqual(points.find((p) => p.damping !== undefined)?.setting);
      seen[verdict] += 1;
      if (lacksConstantForce) seen.force += 1;
      if (lacksReference) seen.curve += 1;
    }
    for (const count of Object.values(seen)) expect(count).toBeGreaterThan(20);
  });
});

describe('the points of a judged result', () => {
  it('are not made for the text of a pass', () => {
    const result = judge();
    const { points } = watched(result);
    expect(textTeller({ colour: false, width: 80 }).head(result).text).toContain('PASS');
    expect(points()).toBe(0);
    expect(result.points).toHaveLength(16);
    expect(points()).toBe(1);
  });

  it('are the same ones whenever they are asked for, and in a copy', () => {
    const result = judge({ table: aResult({ drift: (side, v) => (v > 0.9 ? softer(side, 400) : 0) }) });
    const copy = { ...result };
    expect(result.points).toBe(copy.points);
    expect(result.bands).toBe(copy.bands);
    for (const one of [result, copy]) expect(worstPointOf(one)).toBe(result.points[result.worst!]);
    expect(Object.keys(copy)).toEqual(expect.arrayContaining(['points', 'bands']));
    expect(structuredClone(copy.points)).toEqual(result.points);
  });
});

/** Counts how often the points are asked for. */
function watched(result: object): { readonly points: () => number } {
  let asked = 0;
  const own = Object.getOwnPropertyDescriptor(result, 'points')!;
  Object.defineProperty(result, 'points', {
    ...own,
    get() {
      asked += 1;
      return own.get!.call(result) as unknown;
    },
  });
  return { points: () => asked };
}

function worstVerdictOf(points: readonly JudgedPoint[]): string {
  const verdicts = points.filter(isJudged).map((p) => p.verdict);
  return ['fail', 'undecided'].find((verdict) => verdicts.some((v) => v === verdict)) ?? 'pass';
}

function worstOf(points: readonly JudgedPoint[]): number {
  const shown = points.filter((p) => p.share !== undefined && isJudged(p));
  const worst = shown.find((p) => !shown.some((other) => worseThan(other, p)));
  return worst === undefined ? -1 : points.indexOf(worst);
}

/** What a curve is made of. */
function curveNumbers(point: JudgedPoint | ShapedPoint): unknown {
  const { side, achieved, damping, reference = NaN, uncertainty, coverageFactor, cause } = point;
  return { side, achieved, damping, reference, uncertainty, coverageFactor, cause };
}

function ratioOf(point: JudgedPoint): number {
  return point.driftUncertainty! / point.tolerance!;
}

/** A test with a few of: drift, an empty cell, no gas, a speed off the curve, a cold row, no uncertainty, an unknown setting, no tolerance. */
function aFlawedTest(random: () => number): JudgeInput {
  const rarely = (share: number): boolean => random() < share;
  const size = rarely(0.4) ? 300 : 10;
  const [noGas, otherSetting, noTolerance] = [rarely(0.3), rarely(0.3), rarely(0.2)];
  const flawed = (row: ForceRow): ForceRow => ({
    ...row,
    compression: rarely(0.05) ? NaN : row.compression + size * (random() - 0.5),
    rebound: rarely(0.05) ? NaN : row.rebound + size * (random() - 0.5),
    ...(noGas && rarely(0.1) && { gas: NaN }),
    temperature: rarely(0.02) ? 320 : 308.15,
    measured: {
      ...row.measured!,
      compressionVelocity: row.velocity * (rarely(0.03) ? 1.2 : 0.99 + 0.02 * random()),
      compressionU: rarely(0.02) ? NaN : 4 * random(),
      reboundU: rarely(0.02) ? 0 : 4 * random(),
    },
  });
  const settings = otherSetting ? [DELIVERY, [8, 3, 7]] : [DELIVERY];
  const table: ForceTable = aResult({ settings, row: flawed });
  const spec = aSpec();
  const { compression } = spec.tolerance;
  const onAxis = [1e-6, 0] as const;
  return anInput({
    table,
    reference: aReference(),
    spec: noTolerance ? { ...spec, tolerance: { compression: compression! } } : spec,
    runToRun: {
      covariance: { matrix: [onAxis, [0, 1e-6]], degreesOfFreedom: 6 },
      spread: { compression: { relative: 0.001, df: 6 }, rebound: { relative: 0.001, df: 6 } },
      units: 2,
      runs: 8,
      from: 'spec',
    },
  });
}
