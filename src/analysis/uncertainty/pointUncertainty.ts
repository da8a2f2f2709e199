import type { RunGas } from '../gas/gasOfRun';
import type { RunStep } from '../loops/runSteps';
import { methodUncertainty } from '../points/pooling';
import type { BenchUncertainty, Uncertainty, UncertaintyPart } from '../runAnalysis';
import type { Side } from '../side';
import { expandUncertainty } from './expand';

export interface PointContext {
  readonly gas: RunGas;
  readonly bench?: BenchUncertainty;
}

/** A point's own numbers that its uncertainty depends on. */
export interface PointNumbers {
  readonly run: RunStep;
  readonly side: Side;
  /** Load cell's force [N]. */
  readonly force: number;
  /** Slope of damping over speed at this point [N s/m]. */
  readonly slope: number;
  /** Type A from the spread between cycles, pooled over the log. */
  readonly cycles: { readonly u: number; readonly df: number };
}

/**
 * Uncertainty of a damping force, part by part (JCGM 100:2008). Type B parts have infinite degrees of freedom; expanded values of the
 * bench's data are halved (k = 2). The scatter between complete runs is not in it: it is known from other runs only, and a result that held
 * it would change with each repeat; judging adds it.
 */
export function pointUncertainty(numbers: PointNumbers, context: PointContext): Uncertainty {
  const { force, cycles } = numbers;
  const gas = context.gas.uncertaintyAt(numbers.run);
  const parts: UncertaintyPart[] = [
    { name: 'cycles', u: cycles.u, df: cycles.df },
    typeB('method', methodUncertainty(force)),
    typeB('gas', gas.fit),
    typeB('temperature', gas.temperature),
    ...benchParts(numbers, context),
  ];
  const { bench } = context;
  const benchIncluded = bench !== undefined && (bench.loadCellU !== undefined || bench.loadCellRelativeU !== undefined);
  return expandUncertainty(parts, benchIncluded);
}

function benchParts({ run, side, force, slope }: PointNumbers, { bench, gas }: PointContext): UncertaintyPart[] {
  if (bench === undefined) return [];
  const { step } = run;
  const speed = step[side].peakSpeed;
  const rate = gas.modelAt(run).rate;
  const loadCell = Math.hypot((bench.loadCellU ?? 0) / 2, ((bench.loadCellRelativeU ?? 0) / 2) * force);
  // Speed comes from displacement: its share of error is that of the amplitude, half the difference of two readings.
  const displacementU = (bench.displacementU ?? 0) / 2;
  const amplitudeU = displacementU / Math.SQRT2;
  const displacement = Math.hypot((slope * speed * amplitudeU) / step.amplitude, rate * displacementU);
  // Force is read at another moment than speed: gas has moved on, and speed has fallen a little from its peak.
  const skewU = (bench.skewU ?? 0) / 2;
  const phase = step.drive === 'sine' ? 2 * Math.PI * step.frequency * skewU : 0;
  const skew = Math.hypot(rate * speed * skewU, (slope * speed * phase * phase) / 2);
  return [typeB('load cell', loadCell), typeB('displacement', displacement), typeB('time skew', skew)];
}

function typeB(name: UncertaintyPart['name'], u: number): UncertaintyPart {
  return { name, u, df: Infinity };
}
