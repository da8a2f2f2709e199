import type { Uncertainty, UncertaintyPart } from '../runAnalysis';
import { studentQuantile } from '../statistics/distributions';

/** Two-sided 95 %. */
const PROBABILITY = 0.975;

/**
 * Expanded uncertainty, 95 %, of independent parts: root of the sum of squares, effective degrees of freedom by Welch and Satterthwaite,
 * coverage factor from Student's t. Source: JCGM 100:2008, 5.1.2 and annex G.4.
 *
 * @param parts standard uncertainties of one quantity; parts of 0 are dropped.
 */
export function expandUncertainty(parts: readonly UncertaintyPart[], benchIncluded: boolean): Uncertainty {
  let variance = 0;
  let spent = 0;
  for (const { u, df } of parts) {
    if (!(u > 0)) continue;
    variance += u * u;
    spent += u ** 4 / df;
  }
  const degreesOfFreedom = spent > 0 ? (variance * variance) / spent : Infinity;
  const coverageFactor = coverageFactorOf(degreesOfFreedom);
  const U = coverageFactor * Math.sqrt(variance);
  return {
    U,
    coverageFactor,
    degreesOfFreedom,
    parts: parts.every(isPresent) ? parts : parts.filter(isPresent),
    benchIncluded,
  };
}

/** What two independent parts amount to. */
export interface ExpandedPair {
  /** Standard uncertainty. */
  readonly u: number;
  readonly U: number;
  readonly coverageFactor: number;
  readonly degreesOfFreedom: number;
}

/** The same for two parts in bare numbers. */
export function expandTwo(u1: number, df1: number, u2: number, df2: number): ExpandedPair {
  const degreesOfFreedom = freedomOfTwo(u1, df1, u2, df2);
  const coverageFactor = coverageFactorOf(degreesOfFreedom);
  const u = rootOfTwo(u1, u2);
  return { u, U: coverageFactor * u, coverageFactor, degreesOfFreedom };
}

/** Standard uncertainty of two independent parts together. */
export function rootOfTwo(u1: number, u2: number): number {
  return Math.sqrt(u1 * u1 + u2 * u2);
}

/** Their effective degrees of freedom. */
export function freedomOfTwo(u1: number, df1: number, u2: number, df2: number): number {
  const v1 = u1 * u1;
  const v2 = u2 * u2;
  const variance = v1 + v2;
  const spent = (u1 > 0 ? (v1 * v1) / df1 : 0) + (u2 > 0 ? (v2 * v2) / df2 : 0);
  return spent > 0 ? (variance * variance) / spent : Infinity;
}

/** Coverage factor of a two-sided 95 %. @param degreesOfFreedom above 0; Infinity gives the normal one */
export function coverageFactorOf(degreesOfFreedom: number): number {
  return studentQuantile(PROBABILITY, degreesOfFreedom);
}

function isPresent(part: UncertaintyPart): boolean {
  return part.u > 0;
}
