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
  const present = parts.filter((part) => part.u > 0);
  const variance = present.reduce((sum, part) => sum + part.u * part.u, 0);
  const spent = present.reduce((sum, part) => sum + part.u ** 4 / part.df, 0);
  const degreesOfFreedom = spent > 0 ? (variance * variance) / spent : Infinity;
  const coverageFactor = studentQuantile(PROBABILITY, degreesOfFreedom);
  return { U: coverageFactor * Math.sqrt(variance), coverageFactor, degreesOfFreedom, parts: present, benchIncluded };
}
