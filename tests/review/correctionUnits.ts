import type { Side } from '../../src/analysis/side';
import { SIDE_SIGN } from '../../src/analysis/side';
import type { ForceRow, ForceTable } from '../../src/files/forceTable';
import type { Spec } from '../../src/files/spec';
import type { JudgedResult } from '../../src/review/judgedResult';
import { effectShare, randomUnit, SPEEDS } from '../analysis/adjusters/randomUnit';
import type { Unit } from '../analysis/adjusters/randomUnit';
import type { RandomSource } from '../simulator/random';
import { aReference, aResult, aSpec, judge } from './scenario';

/**
 * Random three- and four-way dampers with a reference that holds a sweep of every adjuster about half its range, and a test of such a damper
 * with known causes of drift. Every force of reference and test has its own relative noise.
 */
export interface SeededCauses {
  /** [N] */
  readonly gas?: number;
  readonly friction?: number;
  readonly scale?: Readonly<Partial<Record<Side, number>>>;
  /** Factor on damping at one side and speed, for what no cause makes. */
  readonly odd?: (side: Side, velocity: number) => number;
  /** Clicks further out than set, by adjuster. */
  readonly leftOut?: Readonly<Record<string, number>>;
  /** Relative change of both sides, as from temperature. */
  readonly both?: number;
}

export interface UnitOptions {
  readonly noise?: number;
  readonly steps?: readonly [number, number];
}

export interface CorrectionUnit {
  readonly unit: Unit;
  readonly base: readonly number[];
  readonly reference: ForceTable;
  readonly spec: Spec;
  readonly noise: number;
}

const GAS = 375;
const FRICTION = 15;

export function correctionUnit(random: RandomSource, options: UnitOptions = {}): CorrectionUnit {
  const { noise = 0.003, steps = [0.03, 0.06] } = options;
  const unit = randomUnit(random, steps);
  const base = unit.adjusters.map(({ clicks }) => Math.floor(clicks / 2));
  const settings = unit.adjusters.flatMap(({ clicks }, k) =>
    Array.from({ length: clicks + 1 }, (_, position) => base.with(k, position)),
  );
  const distinct = [...new Map(settings.map((setting) => [setting.join(' '), setting])).values()];
  const rows = distinct.flatMap((setting) => rowsOf(unit, setting, {}, noise, random));
  const adjusters = unit.adjusters.map(({ id }) => ({ id, unit: 'click' }));
  return {
    unit,
    base,
    noise,
    reference: aReference({ rows, adjusters, gas: { force: GAS, temperature: 304.15, source: 'fit' } }),
    spec: aSpec({
      adjusters: unit.adjusters.map(({ id, side, clicks }) => ({
        id,
        unit: 'click',
        clicks,
        countsFrom: 'closed',
        acts: { side },
      })),
      test: { velocities: SPEEDS, stroke: 0.05, temperature: [303.15, 313.15] },
    }),
  };
}

/** The test of such a damper at its base setting, or at others, judged as the command does. */
export function testedWith(
  { unit, base, reference, spec, noise }: CorrectionUnit,
  causes: SeededCauses,
  random: RandomSource,
  settings: readonly (readonly number[])[] = [base],
): JudgedResult {
  const rows = settings.flatMap((setting) => rowsOf(unit, setting, causes, noise, random));
  const gas = { force: GAS + (causes.gas ?? 0), temperature: 308.15, source: 'fit' as const };
  const table = aResult({ changes: { rows, adjusters: reference.adjusters, gas } });
  return judge({ table, reference, spec });
}

function rowsOf(
  unit: Unit,
  setting: readonly number[],
  causes: SeededCauses,
  noise: number,
  random: RandomSource,
): ForceRow[] {
  return SPEEDS.map((velocity): ForceRow => {
    const force = (side: Side): number => {
      const clean = dampingOf(unit, setting, causes, side, velocity) * (1 + noise * random.normal());
      return GAS + (causes.gas ?? 0) + SIDE_SIGN[side] * (clean + (causes.friction ?? 0));
    };
    const U = (side: Side): number => 2 * noise * dampingOf(unit, setting, causes, side, velocity);
    return {
      line: 0,
      setting,
      pass: 1,
      velocity,
      compression: force('compression'),
      rebound: force('rebound'),
      temperature: 308.15,
      measured: {
        compressionVelocity: velocity,
        reboundVelocity: velocity,
        compressionU: U('compression'),
        reboundU: U('rebound'),
        compressionK: 2,
        reboundK: 2,
        compressionDf: 60,
        reboundDf: 60,
        cycles: 4,
        energy: 50,
      },
    };
  });
}

/** Size of damping force without noise [N]. */
export function dampingOf(
  unit: Unit,
  setting: readonly number[],
  causes: SeededCauses,
  side: Side,
  velocity: number,
): number {
  let log = 0;
  unit.adjusters.forEach((adjuster, k) => {
    if (adjuster.side !== side) return;
    const opened = openedBy(adjuster.increments, setting[k]! + (causes.leftOut?.[adjuster.id] ?? 0));
    log -= opened * adjuster.step * effectShare(adjuster, velocity);
  });
  const scale = (1 + (causes.scale?.[side] ?? 0)) * (1 + (causes.both ?? 0)) * (causes.odd?.(side, velocity) ?? 1);
  return (unit.curve[side](velocity) + FRICTION) * Math.exp(log) * scale;
}

/** Mean clicks opened at a position; nothing changes beyond the stops. */
function openedBy(increments: readonly number[], position: number): number {
  const held = Math.max(0, Math.min(increments.length, position));
  const whole = Math.floor(held);
  const sum = increments.slice(0, whole).reduce((total, one) => total + one, 0);
  return whole < held ? sum + (held - whole) * increments[whole]! : sum;
}
