import type { Cycle, SampleWindow, Stroke } from '../../../src/analysis/motion/cycle';
import type { Side } from '../../../src/analysis/side';

/** One cycle of a known motion, built without the segmentation, so that what is gathered from cycles can be held against closed forms. SI. */
export interface ExactMotion {
  readonly drive: 'sine' | 'triangle';
  /** Half the travel [m]. */
  readonly amplitude: number;
  /** [Hz] */
  readonly frequency: number;
  readonly samplesPerCycle: number;
  /** Force from displacement [m], signed velocity [m/s] and time since the minimum [s]. */
  readonly force: (displacement: number, velocity: number, time: number) => number;
  /** Shift of the samples against the turning points, in samples. */
  readonly shift?: number;
  readonly displacementZero?: number;
}

/** Share of a stroke's time, from its turning point, that a turn takes up to 10 % of the travel. */
const TURN = { sine: Math.acos(0.8) / Math.PI, triangle: 0.1 } as const;

/** The middle one of three cycles, so that its neighbours' strokes and a margin are there. */
export function exactCycle(motion: ExactMotion): Cycle {
  const { amplitude, frequency, samplesPerCycle, shift = 0, displacementZero = 0 } = motion;
  const interval = 1 / (frequency * samplesPerCycle);
  const period = 1 / frequency;
  const rows = 3 * samplesPerCycle + 1;
  const samples = {
    firstRow: 0,
    time: new Float64Array(rows),
    displacement: new Float64Array(rows),
    force: new Float64Array(rows),
    velocity: new Float64Array(rows),
  };
  for (let i = 0; i < rows; i++) {
    const time = (i + shift) * interval;
    const { x, v } = placeAt(motion, time / period);
    samples.time[i] = time;
    samples.displacement[i] = x + displacementZero;
    samples.velocity[i] = v;
    samples.force[i] = motion.force(x, v, time % period);
  }
  const stroke = (half: number): Stroke => strokeAt(motion, samples, half * 0.5 * period, shift, interval);
  const compression = stroke(2);
  const rebound = stroke(3);
  return {
    samples,
    compression,
    rebound,
    previous: stroke(1),
    next: stroke(4),
    from: compression.firstIndex,
    to: rebound.lastIndex + 1,
    marginFrom: 0,
    marginTo: rows,
    sampleInterval: interval,
    startTime: compression.startTime,
    endTime: rebound.endTime,
    amplitude,
    middle: displacementZero,
    peakSpeed: compression.peakSpeed,
  };
}

function placeAt({ drive, amplitude, frequency }: ExactMotion, cycles: number): { x: number; v: number } {
  const share = cycles - Math.floor(cycles);
  if (drive === 'sine') {
    const angle = 2 * Math.PI * share;
    return { x: -amplitude * Math.cos(angle), v: 2 * Math.PI * frequency * amplitude * Math.sin(angle) };
  }
  const speed = 4 * amplitude * frequency;
  return share < 0.5 ? { x: amplitude * (4 * share - 1), v: speed } : { x: amplitude * (3 - 4 * share), v: -speed };
}

function strokeAt(motion: ExactMotion, samples: SampleWindow, start: number, shift: number, interval: number): Stroke {
  const duration = 0.5 / motion.frequency;
  const side: Side = Math.round(start / duration) % 2 === 0 ? 'compression' : 'rebound';
  const nearest = (time: number): number => Math.max(0, Math.round(time / interval - shift));
  const after = (time: number): number => Math.max(0, Math.ceil(time / interval - shift - 1e-9));
  const firstIndex = nearest(start);
  const lastIndex = nearest(start + duration);
  const turn = TURN[motion.drive] * duration;
  const triangle = motion.drive === 'triangle';
  return {
    side,
    firstIndex,
    lastIndex,
    x0: samples.displacement[firstIndex]!,
    x1: samples.displacement[lastIndex]!,
    t10: start + turn,
    t50: start + duration / 2,
    t90: start + duration - turn,
    startTime: start,
    endTime: start + duration,
    from: after(start),
    to: after(start + duration),
    peakSpeed: (triangle ? 4 : 2 * Math.PI) * motion.frequency * motion.amplitude,
    peakTime: start + duration / 2,
    plateau: triangle,
    phaseRate: triangle ? 0 : 2 * Math.PI * motion.frequency,
  };
}
