import type { Side } from '../../src/analysis/side';
import { SIDE_SIGN } from '../../src/analysis/side';
import type { ForceRow, ForceTable } from '../../src/files/forceTable';
import type { Bench, ReviewConfig, Waiver } from '../../src/files/reviewConfig';
import type { Spec } from '../../src/files/spec';
import { judgeResult, judgeVerdict } from '../../src/review/judgeResult';
import type { JudgedResult } from '../../src/review/judgedResult';
import type { JudgeInput } from '../../src/review/judgeInput';

/** An invented strut, its reference and tests of it, built by hand so that every number of a check is known. */

export const VELOCITIES = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0];
export const GAS = 375;
export const ADJUSTERS = [
  { id: 'LSC', unit: 'click' },
  { id: 'HSC', unit: 'click' },
  { id: 'R', unit: 'click' },
];
export const DELIVERY = [8, 3, 6];

/** Damping force of the reference [N]; straight lines, so that interpolation adds nothing. */
export function referenceDamping(side: Side, velocity: number): number {
  return side === 'compression' ? 200 + 1500 * velocity : -(300 + 2500 * velocity);
}

export function aSpec(changes: Partial<Spec> = {}): Spec {
  const band = { relative: 0.05, absolute: 20 };
  return {
    file: 'specs/alder-front.damper.yaml',
    id: 'alder-front',
    formerly: [],
    hardware: { piston: 0.044, rod: 0.018, gasPressure: 12e5, gasVolume: 80e-6, stroke: 0.11 },
    adjusters: [
      { id: 'LSC', unit: 'click', clicks: 18, countsFrom: 'closed', acts: { side: 'compression' } },
      { id: 'HSC', unit: 'click', clicks: 12, countsFrom: 'closed', acts: { side: 'compression' } },
      { id: 'R', unit: 'click', clicks: 18, countsFrom: 'closed', acts: { side: 'rebound' } },
    ],
    settings: {},
    test: { velocities: VELOCITIES, stroke: 0.05, temperature: [303.15, 313.15] },
    tolerance: { compression: { softer: band, harder: band }, rebound: { softer: band, harder: band } },
    limits: {},
    purpose: 'release',
    role: 'product',
    normalise: false,
    reference: 'specs/alder-front.refcurve.csv',
    rules: {},
    ...changes,
  };
}

export function aConfig(changes: Partial<ReviewConfig> = {}): ReviewConfig {
  return {
    file: 'damper-review.yaml',
    logs: [],
    benches: {},
    rules: {},
    waivers: [],
    positionOf: () => ({ line: 1, column: 1 }),
    ...changes,
  };
}

export function aWaiver(changes: Partial<Waiver> = {}): Waiver {
  return {
    rule: 'gas-force-low',
    file: 'dampers/**',
    reason: 'charged low on purpose for the rain',
    by: 'the workshop',
    until: '2026-06-30',
    position: { line: 7, column: 3 },
    ...changes,
  };
}

export const BENCH: Bench = {
  id: 'bench-1',
  loadCellU: 5,
  movingMass: 2.5,
  calibrated: '2026-01-10',
  calibrationInterval: 365,
};

export function aReference(changes: Partial<ForceTable> = {}): ForceTable {
  return {
    file: 'specs/alder-front.refcurve.csv',
    kind: 'reference',
    formatVersion: 1,
    spec: 'alder-front',
    headerLine: 6,
    adjusters: ADJUSTERS,
    rows: VELOCITIES.map((velocity, i) => ({
      line: 7 + i,
      setting: DELIVERY,
      pass: 1,
      velocity,
      compression: GAS + referenceDamping('compression', velocity),
      rebound: GAS + referenceDamping('rebound', velocity),
    })),
    basis: { drive: 'sine', stroke: 0.05, midPosition: 0.035, temperatureAt: 'body' },
    gas: { force: GAS, temperature: 304.15, source: 'fit' },
    ...changes,
  };
}

export interface ResultOptions {
  /** Drift put on top of the reference [N], positive where the force is more positive. */
  readonly drift?: (side: Side, velocity: number, setting: readonly number[]) => number;
  /** Expanded uncertainty [N]. */
  readonly U?: number;
  readonly velocities?: readonly number[];
  readonly settings?: readonly (readonly number[])[];
  /** Line of the first row; 0 for a table that was never written. */
  readonly firstLine?: number;
  readonly changes?: Partial<ForceTable>;
  readonly row?: (row: ForceRow) => ForceRow;
}

export function aResult(options: ResultOptions = {}): ForceTable {
  const { drift = () => 0, U = 2, velocities = VELOCITIES, settings = [DELIVERY], firstLine = 20 } = options;
  const rows = settings.flatMap((setting) =>
    velocities.map((velocity): ForceRow => ({
      line: 0,
      setting,
      pass: 1,
      velocity,
      compression: GAS + referenceDamping('compression', velocity) + drift('compression', velocity, setting),
      rebound: GAS + referenceDamping('rebound', velocity) + drift('rebound', velocity, setting),
      temperature: 308.15,
      measured: {
        compressionVelocity: velocity,
        reboundVelocity: velocity,
        compressionU: U,
        reboundU: U,
        compressionK: 2,
        reboundK: 2,
        compressionDf: 60,
        reboundDf: 60,
        cycles: 4,
        energy: 50,
      },
    })),
  );
  return {
    file: 'dampers/F-017/build-2/alder-front.result.csv',
    kind: 'result',
    formatVersion: 1,
    spec: 'alder-front',
    headerLine: 19,
    adjusters: ADJUSTERS,
    rows: rows
      .map((row, i) => ({ ...row, line: firstLine === 0 ? 0 : firstLine + i }))
      .map(options.row ?? ((row) => row)),
    basis: { drive: 'sine', stroke: 0.05, midPosition: 0.035, temperatureAt: 'body', forceZero: 'unloaded' },
    gas: { force: GAS, temperature: 304.15, source: 'fit' },
    result: {
      serial: 'F-017',
      build: '2',
      date: '2026-03-14T10:22:00Z',
      bench: 'bench-1',
      method: 1,
      source: [{ path: 'dampers/F-017/build-2/alder-front.testlog.csv', sha256: '0'.repeat(64) }],
      inputs: {},
      benchIncluded: true,
    },
    ...options.changes,
  };
}

export function anInput(changes: Partial<JudgeInput> = {}): JudgeInput {
  return {
    file: 'dampers/F-017/build-2/alder-front.result.csv',
    table: aResult(),
    provenance: { kind: 'matches' },
    logs: [],
    spec: aSpec(),
    reference: aReference(),
    config: aConfig(),
    today: '2026-03-20',
    attempt: 1,
    ...changes,
  };
}

export function judge(changes: Partial<JudgeInput> = {}): JudgedResult {
  return judgedBothWays(anInput(changes));
}

/** Judges, and holds the verdict that is told alone against that of the whole: in every test that judges. */
export function judgedBothWays(input: JudgeInput): JudgedResult {
  const result = judgeResult(input);
  const alone = judgeVerdict(input);
  if (alone !== result.verdict) throw new Error(`The verdict alone is ${alone}, that of the whole ${result.verdict}.`);
  return result;
}

/** Judges with a part of the input not there. */
export function judgeWithout(
  parts: readonly ('spec' | 'reference' | 'bench' | 'analysis')[],
  changes: Partial<JudgeInput> = {},
): JudgedResult {
  const input = anInput(changes);
  return judgedBothWays(
    Object.fromEntries(
      Object.entries(input).filter(([name]) => !parts.some((p) => p === name)),
    ) as unknown as JudgeInput,
  );
}

/** A copy without one key, as it would be where a file does not state it. */
export function without<Value extends object, Key extends keyof Value>(value: Value, key: Key): Omit<Value, Key> {
  const copy: Partial<Value> = { ...value };
  Reflect.deleteProperty(copy, key);
  return copy as Omit<Value, Key>;
}

/** `size` newtons softer (negative: harder) on either side. */
export function softer(side: Side, size: number): number {
  return -SIDE_SIGN[side] * size;
}
