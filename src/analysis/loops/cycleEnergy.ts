import type { Cycle, SampleWindow, Stroke } from '../motion/cycle';

/** Samples on each side of a corner that carry its line at most, and that its force is averaged over. */
const LINE_SAMPLES = 12;
const HELD_SAMPLES = 3;

/** A turning point: a sample, or the corner of a constant-speed drive between two samples. */
interface Corner {
  readonly time: number;
  readonly displacement: number;
}

/**
 * Energy that the damper takes out in one cycle [J]: the closed integral of F dx, by trapezoids over the samples from minimum to
 * minimum, closed by the chord. On a constant-speed drive the corner falls between samples, where trapezoids cut it off; there it is
 * rebuilt by intersecting the lines through both sides, with the force held up to the corner.
 * Positive when energy is taken out (displacement and force positive in compression).
 * Source: W = closed integral of F dx, definition of work.
 */
export function cycleEnergy(cycle: Cycle): number {
  const { compression, rebound, samples } = cycle;
  if (compression.plateau && rebound.plateau) return energyWithCorners(cycle);
  const { displacement: x, force: f } = samples;
  const last = cycle.to - 1;
  const open = workAlong(x, f, cycle.from, last);
  return open + 0.5 * (f[cycle.from]! + f[last]!) * (x[cycle.from]! - x[last]!);
}

/** Work along a path [J]: the integral of F dx over samples `first` to `last`, both included, by trapezoids. */
export function workAlong(x: Float64Array, f: Float64Array, first: number, last: number): number {
  let twice = 0;
  let xBefore = x[first]!;
  let fBefore = f[first]!;
  for (let i = first + 1; i <= last; i++) {
    const xHere = x[i]!;
    const fHere = f[i]!;
    twice += (fHere + fBefore) * (xHere - xBefore);
    xBefore = xHere;
    fBefore = fHere;
  }
  return 0.5 * twice;
}

function energyWithCorners(cycle: Cycle): number {
  const { compression, rebound, samples } = cycle;
  const bottom =
    cycle.previous === undefined
      ? atSample(samples, compression.firstIndex)
      : corner(cycle, cycle.previous, compression);
  const top = corner(cycle, compression, rebound);
  const end = cycle.next === undefined ? atSample(samples, rebound.lastIndex) : corner(cycle, rebound, cycle.next);
  const before =
    cycle.previous === undefined
      ? samples.force[compression.firstIndex]!
      : forceBefore(cycle, bottom, compression.firstIndex);
  const up = strokeEnergy(cycle, bottom, compression.firstIndex, top, compression.lastIndex, before);
  const down = strokeEnergy(cycle, top, rebound.firstIndex, end, rebound.lastIndex, up.endForce);
  const chord = 0.5 * (up.startForce + down.endForce) * (bottom.displacement - end.displacement);
  return up.energy + down.energy + chord;
}

function atSample(samples: SampleWindow, index: number): Corner {
  return { time: samples.time[index]!, displacement: samples.displacement[index]! };
}

/** Where the straight motions before and after a turning point meet; its sample where they do not meet close by. */
function corner(cycle: Cycle, before: Stroke, after: Stroke): Corner {
  const { time: t, displacement: x } = cycle.samples;
  const turn = before.lastIndex;
  const reach = Math.max(3, Math.min(LINE_SAMPLES, Math.floor((before.lastIndex - before.firstIndex) / 4)));
  if (after.firstIndex !== turn || turn - 1 - reach < cycle.marginFrom || turn + 1 + reach >= cycle.marginTo)
    return atSample(cycle.samples, turn);
  const into = line(t, x, turn - 1 - reach, turn - 1, t[turn]!);
  const outOf = line(t, x, turn + 1, turn + 1 + reach, t[turn]!);
  const shift = (outOf.atOrigin - into.atOrigin) / (into.slope - outOf.slope);
  const near = Math.abs(shift) <= 1.5 * cycle.sampleInterval;
  if (!near || into.slope * outOf.slope >= 0) return atSample(cycle.samples, turn);
  return { time: t[turn]! + shift, displacement: into.atOrigin + into.slope * shift };
}

/** Least-squares line of x over t - origin through samples `first` to `last`. */
function line(
  t: Float64Array,
  x: Float64Array,
  first: number,
  last: number,
  origin: number,
): { slope: number; atOrigin: number } {
  let n = 0;
  let su = 0;
  let sx = 0;
  let suu = 0;
  let sux = 0;
  for (let i = first; i <= last; i++) {
    const u = t[i]! - origin;
    n += 1;
    su += u;
    sx += x[i]!;
    suu += u * u;
    sux += u * x[i]!;
  }
  const slope = (n * sux - su * sx) / (n * suu - su * su);
  return { slope, atOrigin: (sx - slope * su) / n };
}

/** Index of the first sample later than the corner, looking around its turning sample. */
function firstAfter(cycle: Cycle, at: Corner, turn: number): number {
  const { time: t } = cycle.samples;
  let i = turn;
  while (i > cycle.marginFrom && t[i - 1]! > at.time) i--;
  while (i < cycle.marginTo - 1 && t[i]! <= at.time) i++;
  return i;
}

/** Force that a stroke arrives with at its end: mean of its last samples. */
function forceBefore(cycle: Cycle, at: Corner, turn: number): number {
  const { force: f } = cycle.samples;
  const after = firstAfter(cycle, at, turn);
  let sum = 0;
  let n = 0;
  for (let i = after - 1; i >= cycle.marginFrom && n < HELD_SAMPLES; i--, n++) sum += f[i]!;
  return n === 0 ? f[after]! : sum / n;
}

/**
 * One stroke between two corners. The force is held from the last sample to the corner. After a corner it changes over within a
 * sample or so: it starts from the mean of the first sample and of the mean of that sample and the force carried over.
 */
function strokeEnergy(
  cycle: Cycle,
  from: Corner,
  fromTurn: number,
  to: Corner,
  toTurn: number,
  carried: number,
): { energy: number; startForce: number; endForce: number } {
  const { displacement: x, force: f } = cycle.samples;
  const first = firstAfter(cycle, from, fromTurn);
  const last = firstAfter(cycle, to, toTurn) - 1;
  const endForce = forceBefore(cycle, to, toTurn);
  const startForce = 0.75 * f[first]! + 0.25 * carried;
  const inside = workAlong(x, f, first, last);
  const intoCorner = 0.5 * (f[last]! + endForce) * (to.displacement - x[last]!);
  return { energy: inside + intoCorner + startForce * (x[first]! - from.displacement), startForce, endForce };
}
