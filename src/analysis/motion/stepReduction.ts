import type { CycleSeries, ReducedStep, StepSide } from '../reducedLog';
import type { Drive, Side } from '../side';
import { studentTwoSidedP } from '../statistics/distributions';
import { mean, median, standardDeviation, successiveDeviation } from '../statistics/quantile';
import type { CycleMeasure, StrokeMeasure } from './cycleMeasure';
import type { StepSums } from './stepInProgress';
import { SINE_BODY_PHASE } from './strokeRecord';

/** A sine's phase over the time from 10 to 90 % of the travel is known; a drive that leaves it by more is neither sine nor triangle. */
const SINE_AGREEMENT = 0.25;
/** Share of a cycle that the corner of a constant-speed drive is seen through: the window of the derivative. */
const CORNER_SHARE = 1 / 12;

/** Brings the cycles of a step together. `sums` hold the used ones: all but the first where at least two more remain. */
export function reduceStep(setting: readonly number[], measures: readonly CycleMeasure[], sums: StepSums): ReducedStep {
  const firstUsed = measures.length >= 3 ? 1 : 0;
  const used = measures.slice(firstUsed);
  const frequency = frequencyOf(measures);
  const first = measures[0]!;
  const last = measures.at(-1)!;
  const temperature = temperatureOf(used);
  return {
    setting,
    firstRow: first.firstRow,
    lastRow: last.lastRow,
    startTime: first.startTime,
    endTime: last.endTime,
    drive: driveOf(used),
    frequency,
    amplitude: mean(used.map((m) => m.amplitude)),
    middle: mean(used.map((m) => m.middle)),
    cyclesFound: measures.length,
    cyclesUsed: used.length,
    ...(temperature ? { temperature } : {}),
    compression: reduceSide('compression', used, sums, frequency),
    rebound: reduceSide('rebound', used, sums, frequency),
    cycles: seriesOf(measures, firstUsed),
    energy: median(used.map((m) => m.energy)),
    slow: sums.slow.finish(),
  };
}

function reduceSide(side: Side, used: readonly CycleMeasure[], sums: StepSums, frequency: number): StepSide {
  const strokes = used.map((m) => m[side]);
  const forces = strokes.map((s) => s.force);
  const peakSpeed = median(strokes.map((s) => s.peakSpeed));
  const bins = sums.bins[side];
  return {
    peakSpeed,
    force: mean(forces),
    cycleSpread: standardDeviation(forces),
    cycleScatter: successiveDeviation(forces),
    fitVariance: mean(strokes.map((s) => s.variance)),
    fitSamples: Math.min(...strokes.map((s) => s.samples)),
    peakAcceleration: peakAcceleration(strokes, peakSpeed, frequency),
    strokeTime: mean(strokes.map((s) => s.strokeTime)),
    phase: bins.phase(),
    travel: bins.travel(),
    roughness: sums.roughness[side].result(),
    trendP: slopePValue(forces),
  };
}

/** Of a sine: phase rate times peak speed. A triangle turns from one speed to the other at least as fast as can be seen. */
function peakAcceleration(strokes: readonly StrokeMeasure[], peakSpeed: number, frequency: number): number {
  const sines = strokes.filter((s) => !s.plateau);
  if (sines.length * 2 <= strokes.length) return (2 * peakSpeed * frequency) / CORNER_SHARE;
  return Math.max(...sines.map((s) => s.peakSpeed * s.phaseRate));
}

function driveOf(used: readonly CycleMeasure[]): Drive {
  const strokes = used.flatMap((m) => [m.compression, m.rebound]);
  const sines = strokes.filter((s) => !s.plateau);
  if (sines.length * 2 <= strokes.length) return 'triangle';
  const phase = median(sines.map((s) => s.bodyPhase));
  return Math.abs(phase / SINE_BODY_PHASE - 1) < SINE_AGREEMENT ? 'sine' : 'other';
}

/** From the times between like mid-stroke crossings of cycles that follow on; from the cycles' own lengths where none do. */
function frequencyOf(measures: readonly CycleMeasure[]): number {
  const periods: number[] = [];
  for (let i = 1; i < measures.length; i++) {
    const before = measures[i - 1]!;
    const now = measures[i]!;
    if (!now.followsOn) continue;
    periods.push(now.compression.t50 - before.compression.t50, now.rebound.t50 - before.rebound.t50);
  }
  if (periods.length === 0) periods.push(...measures.map((m) => m.endTime - m.startTime));
  return 1 / median(periods);
}

function temperatureOf(used: readonly CycleMeasure[]): ReducedStep['temperature'] {
  const values = used.map((m) => m.temperature).filter((value) => value !== undefined);
  if (values.length === 0) return undefined;
  return { first: values[0]!, last: values.at(-1)!, mean: mean(values) };
}

function seriesOf(measures: readonly CycleMeasure[], firstUsed: number): CycleSeries {
  const series = (pick: (measure: CycleMeasure) => number): Float64Array => Float64Array.from(measures, pick);
  const hasTemperature = measures.every((m) => m.temperature !== undefined);
  return {
    firstUsed,
    startTime: series((m) => m.startTime),
    compressionForce: series((m) => m.compression.force),
    reboundForce: series((m) => m.rebound.force),
    compressionSpeed: series((m) => m.compression.peakSpeed),
    reboundSpeed: series((m) => m.rebound.peakSpeed),
    energy: series((m) => m.energy),
    ...(hasTemperature ? { temperature: series((m) => m.temperature!) } : {}),
  };
}

/** Two-sided p-value of the slope of values on their number, by Student's t with n - 2 degrees of freedom; NaN under three values. */
export function slopePValue(values: readonly number[]): number {
  const n = values.length;
  if (n < 3) return NaN;
  const centre = (n - 1) / 2;
  const level = mean(values);
  let xx = 0;
  let xy = 0;
  let yy = 0;
  values.forEach((value, i) => {
    xx += (i - centre) ** 2;
    xy += (i - centre) * (value - level);
    yy += (value - level) ** 2;
  });
  const rest = yy - (xy * xy) / xx;
  if (!(yy > 0)) return 1;
  if (!(rest > 0)) return 0;
  return studentTwoSidedP(xy / Math.sqrt((xx * rest) / (n - 2)), n - 2);
}
