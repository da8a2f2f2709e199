import { SIDE_SIGN } from '../side';
import type { Side } from '../side';
import type { NeedleCurve } from './needleCurve';

/** One measured force held against its reference, gas not taken off. */
export interface DriftPoint {
  readonly side: Side;
  /** F - F_ref [N]. */
  readonly drift: number;
  /** Damping force of the reference [N], signed as force. */
  readonly reference: number;
  /** Standard uncertainty of the drift [N]; NaN where none is stated. */
  readonly u: number;
  /** By adjuster; absent where it does not act or no sweep tells. */
  readonly needles: readonly (NeedleCurve | undefined)[];
}

/** What may stand behind a drift. `needle` counts the adjusters of `DriftPoint.needles`. */
export type Cause =
  | { readonly kind: 'gas' }
  | { readonly kind: 'friction' }
  | { readonly kind: 'scale'; readonly side: Side }
  | { readonly kind: 'needle'; readonly adjuster: number }
  | { readonly kind: 'temperature' };

/** Relative change of damping a kelvin, with its standard uncertainty. */
export interface TemperatureCoefficient {
  readonly value: number;
  readonly u: number;
}

export interface DriftModel {
  readonly points: readonly DriftPoint[];
  /** The points' drifts and references, one after the other. */
  readonly drifts: readonly number[];
  readonly references: readonly number[];
  /** 1 / variance of each, or all 1 where no uncertainty is stated. */
  readonly weights: readonly number[];
  /** Whether the weights are variances, so that scatter below them is no better than they say. */
  readonly uKnown: boolean;
  readonly temperature: TemperatureCoefficient;
  /** By adjuster. */
  readonly needles: readonly NeedlePoints[];
}

/** Where an adjuster acts. */
export interface NeedlePoints {
  /** Indices of the points that have a curve of it. */
  readonly points: readonly number[];
  /** How far it may be moved until it stands at a stop at every point; infinite without a point. */
  readonly limits: readonly [number, number];
}

/** Weights by the stated uncertainties where every point states one. */
export function driftModel(points: readonly DriftPoint[], temperature: TemperatureCoefficient): DriftModel {
  const uKnown = points.every(({ u }) => u > 0 && Number.isFinite(u));
  const drifts: number[] = [];
  const references: number[] = [];
  const weights: number[] = [];
  for (let i = 0; i < points.length; i++) {
    const { drift, reference, u } = points[i]!;
    drifts.push(drift);
    references.push(reference);
    weights.push(uKnown ? 1 / (u * u) : 1);
  }
  const needles = (points[0]?.needles ?? []).map((_, adjuster) => needlePoints(points, adjuster));
  return { points, drifts, references, weights, uKnown, temperature, needles };
}

function needlePoints(points: readonly DriftPoint[], adjuster: number): NeedlePoints {
  const acting: number[] = [];
  let from = Infinity;
  let to = -Infinity;
  for (let i = 0; i < points.length; i++) {
    const needle = points[i]!.needles[adjuster];
    if (needle === undefined) continue;
    acting.push(i);
    from = Math.min(from, needle.least - needle.set);
    to = Math.max(to, needle.most - needle.set);
  }
  return { points: acting, limits: [from, to] };
}

export function sameCause(a: Cause, b: Cause): boolean {
  if (a.kind === 'scale' && b.kind === 'scale') return a.side === b.side;
  if (a.kind === 'needle' && b.kind === 'needle') return a.adjuster === b.adjuster;
  return a.kind === b.kind;
}

/** Whether the effects of these causes together are straight lines: no needle, and no two factors on one side. */
export function areStraight(causes: readonly Cause[]): boolean {
  let temperature = false;
  let scale = false;
  for (const { kind } of causes) {
    if (kind === 'needle') return false;
    if (kind === 'temperature') temperature = true;
    if (kind === 'scale') scale = true;
  }
  return !(temperature && scale);
}

/** What a cause of one size does to one point: an added force [N], or a factor on its damping. */
export interface Effect {
  readonly kind: 'force' | 'factor';
  readonly value: number;
  /** Derivative by the size of the cause. */
  readonly slope: number;
}

const NO_EFFECT: Effect = { kind: 'factor', value: 1, slope: 0 };

/** @param size N for gas and friction, a share for a scale, units of the adjuster further out, K warmer. */
export function effectOf(model: DriftModel, point: DriftPoint, cause: Cause, size: number): Effect {
  switch (cause.kind) {
    case 'gas':
      return { kind: 'force', value: size, slope: 1 };
    case 'friction':
      return { kind: 'force', value: size * SIDE_SIGN[point.side], slope: SIDE_SIGN[point.side] };
    case 'scale':
      return point.side === cause.side ? { kind: 'factor', value: 1 + size, slope: 1 } : NO_EFFECT;
    case 'temperature':
      return { kind: 'factor', value: 1 + model.temperature.value * size, slope: model.temperature.value };
    case 'needle': {
      const needle = point.needles[cause.adjuster];
      return needle === undefined ? NO_EFFECT : { kind: 'factor', ...needle.ratio(needle.set + size) };
    }
  }
}

/**
 * Drift that causes of these sizes make together at one point [N]: forces add, factors on damping multiply. For small sizes this is the
 * sum a + b sgn(v) + c D_ref + e dD_ref/dclick + f b_T D_ref.
 */
export function modelledDrift(point: DriftPoint, effects: readonly Effect[]): number {
  let force = 0;
  let factor = 1;
  for (const effect of effects) {
    if (effect.kind === 'force') force += effect.value;
    else factor *= effect.value;
  }
  return force + point.reference * (factor - 1);
}

/**
 * The parts of that drift, one a cause; they add up to it. A product of factors is parted by their logarithms (logarithmic mean, Divisia),
 * which is exact and for small sizes the causes' own effects.
 */
export function driftParts(point: DriftPoint, effects: readonly Effect[]): readonly number[] {
  const factor = effects.reduce((product, one) => (one.kind === 'factor' ? product * one.value : product), 1);
  const log = Math.log(factor);
  const mean = Math.abs(log) < 1e-9 ? 1 : (factor - 1) / log;
  return effects.map((one) => {
    if (one.kind === 'force') return one.value;
    const share = mean * Math.log(one.value);
    return point.reference * (Number.isFinite(share) ? share : one.value - 1);
  });
}
