import type { Side } from '../../../src/analysis/side';
import { SIDE_SIGN, SIDES } from '../../../src/analysis/side';
import type { ForceRow, ForceTable } from '../../../src/files/forceTable';
import type { Adjuster, Spec } from '../../../src/files/spec';
import type { JudgeInput } from '../../../src/review/judgeInput';
import type { JudgedResult } from '../../../src/review/judgedResult';
import { judge, aReference, aResult, aSpec, GAS, VELOCITIES } from '../scenario';

/** One setting of a test that is made up: positions in the order of the adjusters, and which run of it this is. */
export interface MadeSetting {
  readonly at: readonly number[];
  readonly pass?: number;
}

export interface SweepOptions {
  readonly adjusters: readonly Adjuster[];
  readonly settings: readonly MadeSetting[];
  /** Magnitude of damping force [N]. */
  readonly damping: (side: Side, velocity: number, setting: MadeSetting) => number;
  /** Standard uncertainty as a share of damping; 0.3 % where absent, none stated where `undefined` is asked for by NaN. */
  readonly u?: number;
  readonly velocities?: readonly number[];
  /** [J] */
  readonly energy?: (velocity: number, setting: MadeSetting) => number;
}

export const K = 2;

export function click(id: string, clicks: number, acts?: Adjuster['acts']): Adjuster {
  return { id, unit: 'click', clicks, countsFrom: 'closed', ...(acts !== undefined && { acts }) };
}

/** A table as a bench would have given it, every number known. */
export function sweepTable(options: SweepOptions): ForceTable {
  const { adjusters, settings, damping, u = 0.003, velocities = VELOCITIES, energy } = options;
  const rows = settings.flatMap((setting) =>
    velocities.map((velocity): ForceRow => {
      const size = (side: Side): number => damping(side, velocity, setting);
      return {
        line: 0,
        setting: setting.at,
        pass: setting.pass ?? 1,
        velocity,
        compression: GAS + size('compression'),
        rebound: GAS - size('rebound'),
        temperature: 308.15,
        measured: {
          compressionVelocity: velocity,
          reboundVelocity: velocity,
          compressionU: K * u * size('compression'),
          reboundU: K * u * size('rebound'),
          compressionK: K,
          reboundK: K,
          compressionDf: 60,
          reboundDf: 60,
          cycles: 4,
          energy: energy?.(velocity, setting) ?? NaN,
        },
      };
    }),
  );
  const table = aResult({ settings: [] });
  return {
    ...table,
    adjusters: adjusters.map(({ id, unit }) => ({ id, unit })),
    rows: rows.map((row, i) => ({ ...row, line: table.headerLine + 1 + i })),
  };
}

/** The same forces as a reference curve. */
export function sweepReference(options: SweepOptions): ForceTable {
  const { rows, adjusters } = sweepTable(options);
  return {
    ...aReference(),
    adjusters,
    rows: rows.map(({ line, setting, pass, velocity, compression, rebound }) => ({
      line,
      setting,
      pass,
      velocity,
      compression,
      rebound,
    })),
  };
}

export function judgeSweep(
  options: SweepOptions,
  clickStep: Spec['tolerance']['clickStep'],
  changes: Partial<JudgeInput> = {},
): JudgedResult {
  const spec = aSpec({
    adjusters: options.adjusters,
    tolerance: clickStep === undefined ? {} : { clickStep },
    test: { velocities: options.velocities ?? VELOCITIES },
  });
  return judge({ table: sweepTable(options), spec, ...changes });
}

/** Positions 0 to `clicks` of one adjuster among others that are held, then the first one again. */
export function closedSweep(clicks: number, column = 0, held: readonly number[] = [0]): readonly MadeSetting[] {
  const at = (position: number): readonly number[] => held.map((other, i) => (i === column ? position : other));
  return [...Array.from({ length: clicks + 1 }, (_, position) => ({ at: at(position) })), { at: at(0), pass: 2 }];
}

/** Every position of the list once. */
export function openSweep(positions: readonly number[]): readonly MadeSetting[] {
  return positions.map((position) => ({ at: [position] }));
}

/** A side's damping at full hard [N]. */
export function hard(side: Side, velocity: number): number {
  return side === 'compression' ? 300 + 900 * velocity : 500 + 1400 * velocity;
}

export { SIDE_SIGN, SIDES };
