import type { UncertaintyPart } from '../analysis/runAnalysis';
import { expandUncertainty } from '../analysis/uncertainty/expand';
import type { Verdict } from './judgedResult';

/** Recorded with every result, as a verdict means nothing without the rule that it was reached by. */
export const DECISION_RULE =
  'Guard band of the expanded uncertainty U (95 %) on both sides of the tolerance: pass where drift and U together stay inside, ' +
  'fail where the drift stays outside even with U taken off, else undecided (ISO 14253-1; JCGM 106:2012).';

/** Limits of drift [N] on either side of the reference; an absent one is not judged. */
export interface ToleranceZone {
  readonly softer?: number;
  readonly harder?: number;
}

/** No test is run with more cycles in a step than this: the damper would be hot long before. */
export const MOST_CYCLES = 1000;

/**
 * Verdict on one point. Where the two limits differ the whole interval of drift +- U must lie within both of them.
 *
 * @param hardening drift counted positive where the damper is harder than the reference [N].
 * @param U expanded uncertainty of the drift, 95 % [N].
 */
export function decide(hardening: number, U: number, zone: ToleranceZone): Verdict {
  return decideWithin(hardening, U, zone.softer ?? Infinity, zone.harder ?? Infinity);
}

/** The same in bare numbers, as every point asks for it. @param softer, harder the limits [N]; Infinity where there is none */
export function decideWithin(hardening: number, U: number, softer: number, harder: number): Verdict {
  if (hardening - U > harder || -hardening - U > softer) return 'fail';
  return hardening + U <= harder && -hardening + U <= softer ? 'pass' : 'undecided';
}

/** What would settle an undecided point if its mean stayed where it is. */
export type Settling =
  | { readonly kind: 'cycles'; readonly cycles: number }
  /** Cycles would do it in the end, but not within MOST_CYCLES. */
  | { readonly kind: 'too many' }
  | { readonly kind: 'never'; readonly largest: string };

/** A part of the uncertainty that judging adds to those of the measurement. */
export type JudgedPart = Omit<UncertaintyPart, 'name'> & { readonly name: string };

/**
 * Smallest number of used cycles in the step that would decide an undecided point: scatter between cycles falls with the root of
 * their number, everything else stays.
 *
 * @param parts standard uncertainties of the drift; the one named `cycles` is of the mean over `cycles` cycles.
 */
export function cyclesToSettle(
  hardening: number,
  zone: ToleranceZone,
  parts: readonly JudgedPart[],
  cycles: number,
): Settling {
  const settled = (count: number): boolean =>
    decide(hardening, expandedWith(parts, cycles, count), zone) !== 'undecided';
  if (settled(MOST_CYCLES)) {
    let low = Math.max(1, cycles);
    let high = MOST_CYCLES;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (settled(middle)) high = middle;
      else low = middle;
    }
    return { kind: 'cycles', cycles: high };
  }
  if (settled(Infinity)) return { kind: 'too many' };
  const rest = parts.filter((part) => part.name !== 'cycles');
  const largest = rest.reduce<JudgedPart | undefined>((a, b) => (a === undefined || b.u > a.u ? b : a), undefined);
  return { kind: 'never', largest: largest?.name ?? 'cycles' };
}

function expandedWith(parts: readonly JudgedPart[], cycles: number, count: number): number {
  const scaled = parts.map((part) => {
    if (part.name !== 'cycles') return part;
    const share = cycles / count;
    return {
      ...part,
      u: part.u * Math.sqrt(share),
      df: Math.max(part.df, (part.df * (count - 1)) / Math.max(1, cycles - 1)),
    };
  });
  return expandUncertainty(scaled as readonly UncertaintyPart[], true).U;
}
