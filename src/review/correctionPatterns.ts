import { SIDES } from '../analysis/side';
import type { Side } from '../analysis/side';
import type { Adjuster } from '../files/spec';
import type { Conclusion, CorrectionTerm } from './correction';
import type { JudgedPoint, JudgedResult } from './judgedResult';
import { actsOnSide } from './correctionPoints';
import { decimalText } from './wording';

/** A sweep has at least this many positions to show where it is off. */
const LEAST_POSITIONS = 3;

/**
 * Where in a sweep a side is off: at fully closed the bleed takes no part, so that what is off there is the shims; right there and off open is
 * the bleed or its needle. Silent about an adjuster whose needle index explains it already.
 */
export function patternConclusions(
  result: JudgedResult,
  adjusters: readonly Adjuster[],
  named: readonly CorrectionTerm[],
): readonly Conclusion[] {
  return adjusters.flatMap((adjuster) => {
    if (named.some((term) => term.adjuster === adjuster.id)) return [];
    return SIDES.flatMap((side) =>
      actsOnSide(result.spec, adjuster.id, side) ? (patternOf(result, adjuster, side) ?? []) : [],
    );
  });
}

function patternOf({ points }: JudgedResult, adjuster: Adjuster, side: Side): Conclusion | undefined {
  const own = points.filter((point) => point.side === side && point.setting[adjuster.id] !== undefined);
  const positions = [...new Set(own.map(({ setting }) => setting[adjuster.id]!))].sort((a, b) => a - b);
  const closed = closedPosition(adjuster);
  if (positions.length < LEAST_POSITIONS || closed === undefined || !positions.includes(closed)) return undefined;
  const atClosed = own.filter(({ setting }) => setting[adjuster.id] === closed);
  const open = own.filter(({ setting }) => setting[adjuster.id] !== closed);
  const name = `${adjuster.id} ${decimalText(closed, 2)}`;
  if (atClosed.some(isOut))
    return {
      text: `${capital(side)} is off at fully closed (${name}), where ${adjuster.id} has no part in it: shims, take apart.`,
      next: `Check the ${side} shim stack and its seat against the build sheet.`,
    };
  if (atClosed.every(({ verdict }) => verdict === 'pass') && open.some(isOut))
    return {
      text: `${capital(side)} is right at fully closed (${name}) and off open: bleed or needle of ${adjuster.id}.`,
      next: `Take ${adjuster.id} out and check needle, seat and bleed for wear and dirt.`,
    };
  return undefined;
}

function isOut({ verdict }: JudgedPoint): boolean {
  return verdict === 'fail';
}

/** Fully closed, as the spec counts; a list of positions, such as tensions, has no such end. */
function closedPosition({ countsFrom, clicks, positions }: Adjuster): number | undefined {
  if (positions !== undefined) return undefined;
  return countsFrom === 'closed' ? 0 : clicks;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
