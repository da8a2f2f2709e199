import { studentQuantile } from '../statistics/distributions';
import { leastSquares } from '../statistics/leastSquares';
import type { LeastSquaresFit } from '../statistics/leastSquares';
import { mean as meanOf } from '../statistics/quantile';
import type { SideCurve } from './sideCurve';
import { distinctSpeeds, sideCurve } from './sideCurve';
import { bendAt, fitTwoSlopeLine } from './twoSlopeLine';
import type { TwoSlopeLine } from './twoSlopeLine';

export type ShapeKind = 'linear' | 'digressive' | 'progressive' | 'regressive' | 'undecided';

/** A value with its expanded uncertainty, 95 %. */
export interface WithUncertainty {
  readonly value: number;
  readonly U: number;
}

/** Shape of one side's damping force over speed. SI: m/s, N, N s/m. */
export interface SideShape {
  readonly kind: ShapeKind;
  /** A straight line whose force at zero speed is too large for one: the bend lies below the slowest step. */
  readonly kneeBelowFirstStep: boolean;
  readonly knee?: WithUncertainty;
  readonly slopeBelow?: WithUncertainty;
  readonly slopeAbove?: WithUncertainty;
  /** Damping force of the line carried on to zero speed: friction and preload. */
  readonly forceAtZero?: WithUncertainty;
  /** Slope above the knee over slope below it; of a straight line, tried at the middle of its speeds. */
  readonly slopeRatio?: WithUncertainty;
  /** Of a straight line only: the same at the lowest and at the highest knee that its speeds allow. */
  readonly ratiosAtEnds?: readonly WithUncertainty[];
  /** Force at zero speed over that at top speed. */
  readonly startShare?: WithUncertainty;
  /** Exponent of F = C v^a over all speeds: 1 linear, below digressive, above progressive. */
  readonly exponent?: WithUncertainty;
  /** p-value of the bend against a straight line. */
  readonly pValue?: number;
  /** Why the kind is undecided. */
  readonly reason?: string;
}

/** Fewer speeds cannot tell a bend from scatter (a line takes 2 of them, a bend 4). */
export const LEAST_SPEEDS = 6;
export const SIGNIFICANCE = 0.01;
/** Slope ratios between these are called linear: no one would feel or valve for the difference. */
export const DIGRESSIVE_BELOW = 0.8;
export const PROGRESSIVE_ABOVE = 1.25;
/** Force at zero speed, as a share of the force at top speed, above which a straight line hides a knee below the first step. */
export const HIDDEN_KNEE_SHARE = 0.25;

/**
 * Classifies a side (docs/method.md, 'Shape of a side'): weighted fit of a smooth two-slope line, F test at 1 % against a straight line,
 * then the ratio of the slopes.
 *
 * @param speeds unsigned peak speeds [m/s], any order. @param damping as many magnitudes of damping force [N].
 * @param u as many standard uncertainties [N], where known: those of the result are then never smaller than they make them.
 */
export function shapeOfSide(
  speeds: readonly number[],
  damping: readonly number[],
  u: readonly (number | undefined)[] = [],
): SideShape {
  return shapeOfCurve(sideCurve(speeds, damping, u));
}

/** The same of points that are sorted out already. */
export function shapeOfCurve(curve: SideCurve): SideShape {
  const { speeds: v, forces: f, weights, u } = curve;
  const exponent = powerLawExponent(v, f);
  const distinct = distinctSpeeds(curve);
  if (distinct < LEAST_SPEEDS)
    return undecided(
      `${distinct} speeds are too few to tell a bend from scatter; ${LEAST_SPEEDS} are needed`,
      exponent,
    );
  const line = leastSquares(
    v.map((speed) => [1, speed]),
    f,
    weights,
  );
  const leastVariance = meanOf(u.map((one, i) => weights[i]! * one ** 2));
  const bent = fitTwoSlopeLine(v, f, weights, leastVariance);
  if (line === undefined || bent === undefined) return undecided('the points do not determine a curve', exponent);
  const freedom = v.length - 4;
  const pValue = chanceOfBend(line.residualSumOfSquares, bent.residualSumOfSquares, v.length);
  const kind = pValue > SIGNIFICANCE ? 'linear' : kindOfSlopes(bent);
  const common = { ...(exponent && { exponent }), pValue };
  const top = f[f.length - 1]!;
  if (kind !== 'linear') return { kind, kneeBelowFirstStep: false, ...bentValues(bent, freedom, top), ...common };
  const straight = straightValues(line, leastVariance, top);
  const hidden = straight.startShare!.value > HIDDEN_KNEE_SHARE;
  const [low, high] = [v[1]!, v[v.length - 2]!];
  const ratios = [Math.sqrt(low * high), low, high].flatMap((knee) => {
    const line = bendAt(knee, v, f, weights, leastVariance);
    return line === undefined ? [] : [ratioOf(line, v.length - 3)];
  });
  const [slopeRatio, ...ratiosAtEnds] = ratios;
  return {
    kind: hidden ? 'digressive' : 'linear',
    kneeBelowFirstStep: hidden,
    ...straight,
    ...(slopeRatio && { slopeRatio, ratiosAtEnds }),
    ...common,
  };
}

/**
 * p-value of the F test of a bend against a straight line: on two degrees of freedom for the bend, the F distribution's upper tail is a power,
 * (1 + 2 F / d)^(-d / 2) with d = n - 4, and 1 + 2 F / d the quotient of both sums of squares.
 */
export function chanceOfBend(straightSum: number, bentSum: number, points: number): number {
  return Math.min(1, bentSum / straightSum) ** ((points - 4) / 2);
}

function straightValues(line: LeastSquaresFit, leastVariance: number, top: number): Partial<SideShape> {
  const [atZero, slope] = line.coefficients as [number, number];
  const wide = studentQuantile(0.975, line.degreesOfFreedom);
  const variance = Math.max(line.residualVariance, leastVariance);
  const U = (i: number): number => wide * Math.sqrt(variance * line.unscaledCovariance[i]![i]!);
  return {
    forceAtZero: { value: atZero, U: U(0) },
    slopeAbove: { value: slope, U: U(1) },
    startShare: { value: atZero / top, U: U(0) / Math.abs(top) },
  };
}

function kindOfSlopes(line: TwoSlopeLine): ShapeKind {
  if (line.low <= 0) return line.high < 0 ? 'regressive' : 'progressive';
  const ratio = line.high / line.low;
  if (ratio < 0) return 'regressive';
  if (ratio < DIGRESSIVE_BELOW) return 'digressive';
  return ratio > PROGRESSIVE_ABOVE ? 'progressive' : 'linear';
}

function bentValues(line: TwoSlopeLine, freedom: number, top: number): Partial<SideShape> {
  const wide = studentQuantile(0.975, freedom);
  return {
    knee: { value: line.knee, U: wide * line.u.knee },
    slopeBelow: { value: line.low, U: wide * line.u.low },
    slopeAbove: { value: line.high, U: wide * line.u.high },
    forceAtZero: { value: line.atZero, U: wide * line.u.atZero },
    startShare: { value: line.atZero / top, U: (wide * line.u.atZero) / Math.abs(top) },
    slopeRatio: ratioOf(line, freedom),
  };
}

function ratioOf({ ratio, u }: TwoSlopeLine, freedom: number): WithUncertainty {
  return { value: ratio, U: studentQuantile(0.975, freedom) * u.ratio };
}

function undecided(reason: string, exponent: WithUncertainty | undefined): SideShape {
  return { kind: 'undecided', kneeBelowFirstStep: false, reason, ...(exponent && { exponent }) };
}

/** Slope of ln F on ln v. Absent where a force is not positive or fewer than three speeds are left. */
export function powerLawExponent(speeds: readonly number[], damping: readonly number[]): WithUncertainty | undefined {
  if (speeds.length < 3 || damping.some((force) => !(force > 0))) return undefined;
  const fit = leastSquares(
    speeds.map((v) => [1, Math.log(v)]),
    damping.map((force) => Math.log(force)),
  );
  if (fit === undefined) return undefined;
  return {
    value: fit.coefficients[1]!,
    U: studentQuantile(0.975, fit.degreesOfFreedom) * Math.sqrt(fit.covariance[1]![1]!),
  };
}
