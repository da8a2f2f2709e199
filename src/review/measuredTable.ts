import type { LoopMeasure, MeasuredPoint, RunAnalysis } from '../analysis/runAnalysis';
import type { ForceRow, ForceTable, MeasuredRow, ResultOrigin, TestBasis } from '../files/forceTable';
import type { TestLogHead } from '../files/testLog';
import { matchPlanned } from './plannedVelocity';
import { adjustersOfRun, type RunAdjuster } from './runSettings';

/** A row's own gas is written only where it differs from the table's by more than half of the last digit that is kept of a force [N]. */
const GAS_RESOLUTION = 0.05;

/** What a result says of its making beside its numbers; `serial`, `build` and the like come from the logs. */
export interface MeasuredOrigin {
  readonly source: ResultOrigin['source'];
  readonly inputs: ResultOrigin['inputs'];
  readonly method: number;
  readonly reference?: ResultOrigin['reference'];
}

/** The part of a spec that a result's numbers depend on. */
export interface PlannedSpec {
  readonly id: string;
  readonly adjusters: readonly RunAdjuster[];
  readonly test: { readonly velocities: readonly number[] };
}

/**
 * Result table of a run, not yet rounded: one row a setting, peak speed and pass, by setting, speed and pass.
 *
 * @param file where the result stands or would stand.
 * @param heads of the analysed logs, in their order (StepKey.log counts them); settings in `analysis` are in the order of `adjustersOfRun`.
 * @param spec plan for the velocities; without one every row bears its achieved velocity.
 */
export function measuredTable(
  file: string,
  heads: readonly TestLogHead[],
  analysis: RunAnalysis,
  spec: PlannedSpec | undefined,
  origin: MeasuredOrigin,
): ForceTable {
  const gas = gasOfTable(analysis);
  return {
    file,
    kind: 'result',
    formatVersion: 1,
    // The id as the log states it: a spec that was renamed since leaves the result as it was written.
    spec: first(heads, (h) => h.spec) ?? spec?.id ?? '',
    headerLine: 1,
    adjusters: adjustersOfRun(heads, spec),
    rows: rowsOf(analysis, spec?.test.velocities ?? [], gas?.force),
    basis: basisOf(
      heads.filter((h) => h.kind !== 'static'),
      analysis,
    ),
    ...(gas !== undefined && { gas }),
    result: originOf(heads, analysis, origin),
  };
}

interface MeasuredStep {
  readonly setting: readonly number[];
  readonly order: number;
  readonly speed: number;
  readonly compression?: MeasuredPoint;
  readonly rebound?: MeasuredPoint;
  readonly loop?: LoopMeasure;
}

function rowsOf(analysis: RunAnalysis, planned: readonly number[], gas: number | undefined): ForceRow[] {
  const rows: ForceRow[] = [];
  for (const steps of bySetting(stepsOf(analysis))) {
    const plans = matchPlanned(
      steps.map((s) => s.speed),
      planned,
    );
    const passes = new Map<number, number>();
    steps.forEach((step, i) => {
      const velocity = plans[i] ?? step.speed;
      const pass = (passes.get(velocity) ?? 0) + 1;
      passes.set(velocity, pass);
      rows.push(rowOf(step, velocity, plans[i] === undefined ? passOf(step) : pass, gas));
    });
  }
  return rows.sort((a, b) => compareVectors(a.setting, b.setting) || a.velocity - b.velocity || a.pass - b.pass);
}

/** Pass as the analysis counted it, for speeds that no plan makes equal. */
function passOf(step: MeasuredStep): number {
  return step.compression?.pass ?? step.rebound?.pass ?? 1;
}

function stepsOf(analysis: RunAnalysis): MeasuredStep[] {
  const loops = new Map(analysis.loops.map((loop) => [stepName(loop.key), loop]));
  const sides = new Map<string, MeasuredPoint[]>();
  for (const point of analysis.points) {
    const name = stepName(point.key);
    sides.set(name, [...(sides.get(name) ?? []), point]);
  }
  return [...sides].map(([name, points]) => {
    const compression = points.find((p) => p.side === 'compression');
    const rebound = points.find((p) => p.side === 'rebound');
    const loop = loops.get(name);
    return {
      setting: points[0]!.setting,
      order: points[0]!.key.log * 1e6 + points[0]!.key.step,
      speed: mean(points.map((p) => p.speed)),
      ...(compression !== undefined && { compression }),
      ...(rebound !== undefined && { rebound }),
      ...(loop !== undefined && { loop }),
    };
  });
}

function rowOf(step: MeasuredStep, velocity: number, pass: number, tableGas: number | undefined): ForceRow {
  const { compression: c, rebound: r } = step;
  const points = [c, r].filter((p) => p !== undefined);
  const gas = mean(points.map((p) => p.force - p.damping));
  const temperatures = points.flatMap((p) => (p.temperature === undefined ? [] : [p.temperature]));
  const measured: MeasuredRow = {
    compressionVelocity: c?.speed ?? NaN,
    reboundVelocity: r?.speed ?? NaN,
    compressionU: c?.uncertainty.U ?? NaN,
    reboundU: r?.uncertainty.U ?? NaN,
    compressionK: c?.uncertainty.coverageFactor ?? NaN,
    reboundK: r?.uncertainty.coverageFactor ?? NaN,
    compressionDf: c?.uncertainty.degreesOfFreedom ?? NaN,
    reboundDf: r?.uncertainty.degreesOfFreedom ?? NaN,
    cycles: points[0]?.cycles ?? 0,
    energy: step.loop?.energy ?? NaN,
  };
  return {
    line: 0,
    setting: step.setting,
    pass,
    velocity,
    compression: c?.force ?? NaN,
    rebound: r?.force ?? NaN,
    ...(Number.isFinite(gas) && !(Math.abs(gas - (tableGas ?? NaN)) < GAS_RESOLUTION) && { gas }),
    ...(temperatures.length > 0 && { temperature: mean(temperatures) }),
    measured,
  };
}

function gasOfTable(analysis: RunAnalysis): ForceTable['gas'] {
  const { source, force, temperature } = analysis.gas;
  if (!Number.isFinite(force)) return undefined;
  return { force, source: source === 'none' ? 'constant' : source, ...(temperature !== undefined && { temperature }) };
}

function originOf(heads: readonly TestLogHead[], analysis: RunAnalysis, origin: MeasuredOrigin): ResultOrigin {
  const date = first(heads, (h) => h.date);
  const bench = first(heads, (h) => h.bench);
  const run = first(heads, (h) => h.run);
  const sameMounting = first(heads, (h) => h.sameMounting);
  const retest = first(heads, (h) => h.retest);
  return {
    serial: first(heads, (h) => h.serial) ?? '',
    build: first(heads, (h) => h.build) ?? '',
    ...(date !== undefined && { date }),
    ...(bench !== undefined && { bench }),
    ...(run !== undefined && { run }),
    ...(sameMounting !== undefined && { sameMounting }),
    ...(retest !== undefined && { retest }),
    method: origin.method,
    source: origin.source,
    inputs: origin.inputs,
    ...(origin.reference !== undefined && { reference: origin.reference }),
    benchIncluded: analysis.points.every((p) => p.uncertainty.benchIncluded),
  };
}

/** What the heads state where they agree; drive and stroke from the motion itself where no head states them. */
function basisOf(heads: readonly TestLogHead[], analysis: RunAnalysis): TestBasis {
  const drive = agreed(heads, (h) => h.basis.drive) ?? agreed(analysis.loops, (l) => l.drive);
  const stroke = agreed(heads, (h) => h.basis.stroke) ?? measuredStroke(analysis);
  const midPosition = agreed(heads, (h) => h.basis.midPosition);
  const forceZero = agreed(heads, (h) => h.basis.forceZero);
  const temperatureAt = agreed(heads, (h) => h.basis.temperatureAt);
  return {
    ...(drive !== undefined && { drive }),
    ...(stroke !== undefined && { stroke }),
    ...(midPosition !== undefined && { midPosition }),
    ...(forceZero !== undefined && { forceZero }),
    ...(temperatureAt !== undefined && { temperatureAt }),
  };
}

/** Twice the amplitude where all steps share it within 2 %, else undefined: a run with several strokes has no one stroke. */
function measuredStroke(analysis: RunAnalysis): number | undefined {
  const amplitudes = analysis.loops.map((l) => l.amplitude).sort((a, b) => a - b);
  if (amplitudes.length === 0 || amplitudes.at(-1)! > 1.02 * amplitudes[0]!) return undefined;
  return 2 * amplitudes[amplitudes.length >> 1]!;
}

function first<Item, Value>(items: readonly Item[], pick: (item: Item) => Value | undefined): Value | undefined {
  for (const item of items) {
    const value = pick(item);
    if (value !== undefined) return value;
  }
  return undefined;
}

/** The one value that every item which states one states. */
function agreed<Item, Value>(items: readonly Item[], pick: (item: Item) => Value | undefined): Value | undefined {
  const values = new Set(items.map(pick).filter((value) => value !== undefined));
  return values.size === 1 ? [...values][0] : undefined;
}

function bySetting(steps: readonly MeasuredStep[]): MeasuredStep[][] {
  const groups = new Map<string, MeasuredStep[]>();
  for (const step of [...steps].sort((a, b) => a.order - b.order)) {
    const key = step.setting.join(' ');
    groups.set(key, [...(groups.get(key) ?? []), step]);
  }
  return [...groups.values()];
}

function compareVectors(a: readonly number[], b: readonly number[]): number {
  for (let i = 0; i < a.length; i++) {
    const difference = a[i]! - (b[i] ?? NaN);
    if (difference !== 0 && !Number.isNaN(difference)) return difference;
  }
  return 0;
}

function stepName(key: { readonly log: number; readonly step: number }): string {
  return `${key.log} ${key.step}`;
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
