import { actsOn, explainDrift } from '../analysis/corrections/explainDrift';
import type { DriftExplanation, ExplainedCause } from '../analysis/corrections/explainDrift';
import type { Cause, TemperatureCoefficient } from '../analysis/corrections/driftModel';
import { driftModel } from '../analysis/corrections/driftModel';
import { SIDES } from '../analysis/side';
import type { ForceTable } from '../files/forceTable';
import type { Adjuster } from '../files/spec';
import { adviceFor } from './correctionAdvice';
import { conclusionsOf } from './correctionConclusions';
import type { Correction, CorrectionPoint, CorrectionTerm } from './correction';
import { causeName, OIL } from './correctionNames';
import type { FittedPoint } from './correctionPoints';
import { fittedPoints } from './correctionPoints';
import type { CorrectionSweeps } from './correctionSweeps';
import { sweepsOf } from './correctionSweeps';
import type { JudgedResult } from './judgedResult';
import { adjusterDifferences } from './referenceCurves';
import { listText } from './wording';

/**
 * Damping lost a kelvin where the spec tells none: 0.2 % (common practice for thin damper oils), known to lie between 0.1 and 0.3 %
 * (JCGM 100:2008, 4.3.7).
 */
export const ASSUMED_TEMPERATURE: TemperatureCoefficient = { value: -0.002, u: 0.001 / Math.sqrt(3) };

/** Fewer points than this explain anything. */
const LEAST_POINTS = 6;
/** A cause under this share of the drift that makes less than this of a tolerance anywhere is told besides. */
const MINOR_SHARE = 0.05;
const MINOR_OF_TOLERANCE = 0.5;

/**
 * What explains the drift of a judged result, and clicks that mend it. Pure, and never changes a verdict.
 *
 * @param sweeps tables that hold sweeps of the spec's adjusters, for those that the reference has only at one position.
 */
export function correctResult(result: JudgedResult, sweeps: readonly ForceTable[] = []): Correction {
  const obstacle = obstacleOf(result);
  if (obstacle !== undefined) return notPossible(obstacle);
  const reference = result.reference!;
  const adjusters = adjustersOf(result);
  const swept = sweepsOf(reference, sweeps);
  const ids = adjusters.map(({ id }) => id);
  const fitted = fittedPoints(result, ids, swept);
  if (fitted.length < LEAST_POINTS)
    return notPossible(
      `Only ${fitted.length} points have a force in both test and reference; ${LEAST_POINTS} are the least that tell one cause from another.`,
    );
  const model = driftModel(
    fitted.map(({ drift }) => drift),
    ASSUMED_TEMPERATURE,
  );
  const candidates = candidatesOf(fitted, ids.length).filter(
    (cause) => cause.kind !== 'needle' || SIDES.some((side) => actsOn(model, cause.adjuster, side)),
  );
  const explanation = explainDrift(model, candidates);
  const terms = explanation.causes.map((cause) => termOf(result, adjusters, fitted, cause));
  const advised = once(() => adviceFor(result, adjusters, fitted, needlesNamed(explanation)));
  const reasons = once(() => reasonsOf(ids, swept, terms, advised() === undefined));
  const points = once(() => correctedPoints(fitted, explanation));
  return {
    state: explanation.state,
    terms,
    explained: explanation.explained,
    notSeparable: groupsOf(explanation, adjusters, terms),
    conclusions: conclusionsOf({ result, adjusters, fitted, explanation, terms, advised }),
    // What most faces tell of few results or none is worked out when it is asked for.
    get reasons() {
      return reasons();
    },
    get advice() {
      return advised();
    },
    get points() {
      return points();
    },
  };
}

/** A value that is computed at its first use. */
function once<Value>(compute: () => Value): () => Value {
  let known: { readonly value: Value } | undefined;
  return () => (known ??= { value: compute() }).value;
}

function correctedPoints(fitted: readonly FittedPoint[], { modelled }: DriftExplanation): readonly CorrectionPoint[] {
  return fitted.map(({ index, drift }, i) => ({ point: index, drift: drift.drift, explained: modelled[i]! }));
}

/** Whether a result calls for an explanation: a point that fails, or one that its drift leaves undecided. */
export function hasDriftToExplain(result: JudgedResult): boolean {
  // Of a pass there is none, and its points need not be made.
  if (result.verdict === 'pass') return false;
  return result.points.some(
    ({ verdict, cause }) => verdict === 'fail' || cause === 'guard band' || cause === 'constant force',
  );
}

function obstacleOf({ reference, spec, table, points }: JudgedResult): string | undefined {
  if (reference === undefined) return 'There is no reference to hold the result against.';
  const { onlyMeasured, onlyReference, otherUnit } = adjusterDifferences(table, reference);
  const differing = [...onlyMeasured, ...onlyReference, ...otherUnit];
  if (differing.length > 0) return `Test and reference do not state ${listText(differing)} alike.`;
  if (spec === undefined) return 'There is no spec.';
  return points.find(({ cause }) => cause === 'basis')?.reason;
}

function notPossible(reason: string): Correction {
  return {
    state: 'not possible',
    terms: [],
    explained: 0,
    notSeparable: [],
    conclusions: [],
    reasons: [reason],
    advice: undefined,
    points: [],
  };
}

/** The adjusters of the table as the spec has them; one that the spec does not know goes by its unit alone. */
function adjustersOf({ table, spec }: JudgedResult): readonly Adjuster[] {
  return table.adjusters.map(
    ({ id, unit }) => spec?.adjusters.find((one) => one.id === id) ?? { id, unit, countsFrom: 'closed' },
  );
}

function candidatesOf(fitted: readonly FittedPoint[], adjusters: number): readonly Cause[] {
  const sides = SIDES.filter((side) => fitted.some(({ drift }) => drift.side === side));
  const needles = Array.from({ length: adjusters }, (_, adjuster): Cause => ({ kind: 'needle', adjuster }));
  const scales = sides.map((side): Cause => ({ kind: 'scale', side }));
  // With one side alone friction is gas by another sign, and temperature its scale.
  if (sides.length < 2) return [{ kind: 'gas' }, ...needles, ...scales];
  return [{ kind: 'gas' }, { kind: 'friction' }, ...needles, { kind: 'temperature' }, ...scales];
}

/** Adjusters whose index stands in the fit or could stand there. */
function needlesNamed({ causes }: DriftExplanation): ReadonlySet<number> {
  const named = causes.flatMap(({ cause, alternatives }) => [cause, ...alternatives.flat()]);
  return new Set(named.flatMap((cause) => (cause.kind === 'needle' ? [cause.adjuster] : [])));
}

function termOf(
  result: JudgedResult,
  adjusters: readonly Adjuster[],
  fitted: readonly FittedPoint[],
  { cause, size, U: ofFit, share, largest }: ExplainedCause,
): CorrectionTerm {
  const { spec, points } = result;
  const U = cause.kind === 'gas' ? Math.hypot(ofFit, sharedUncertainty(result, fitted)) : ofFit;
  const adjuster = cause.kind === 'needle' ? adjusters[cause.adjuster]! : undefined;
  // Counted from the open end, a higher position is farther in.
  const sign = adjuster?.countsFrom === 'open' ? -1 : 1;
  const tolerances = fitted.flatMap(({ index }) => points[index]!.tolerance ?? []);
  const ofTolerance = tolerances.length === 0 ? Infinity : largest / Math.min(...tolerances);
  const rod = spec?.hardware.rod;
  const area = rod === undefined || spec?.hardware.rodKind === 'through' ? undefined : (Math.PI * rod * rod) / 4;
  return {
    cause: causeName(cause, adjusters),
    kind: cause.kind,
    ...(cause.kind === 'scale' && { side: cause.side }),
    ...(adjuster !== undefined && { adjuster: adjuster.id }),
    value: sign * size,
    unit: unitOf(cause, adjuster),
    U,
    share,
    minor:
      Math.abs(size) <= U ||
      (share < MINOR_SHARE && ofTolerance < MINOR_OF_TOLERANCE) ||
      (adjuster !== undefined && Math.abs(size) < halfStep(adjuster)),
    ...(cause.kind === 'gas' && area !== undefined && { pressure: { value: size / area, U: U / area } }),
  };
}

/**
 * What the bench adds to every point alike, such as the load cell's zero: no number of points averages it out of a constant force. It is no
 * more than the smallest stated uncertainty [N].
 */
function sharedUncertainty({ benchIncluded, points }: JudgedResult, fitted: readonly FittedPoint[]): number {
  if (!benchIncluded) return 0;
  const stated = fitted.map(({ index }) => points[index]!.uncertainty).filter(Number.isFinite);
  return stated.length === 0 ? 0 : Math.min(...stated);
}

/** Half of the smallest step of an adjuster: less than that is how it was set by hand. */
function halfStep({ positions }: Adjuster): number {
  const sorted = [...(positions ?? [])].sort((a, b) => a - b);
  const steps = sorted.slice(1).map((position, i) => position - sorted[i]!);
  return Math.min(...(steps.length > 0 ? steps : [1])) / 2;
}

function unitOf(cause: Cause, adjuster: Adjuster | undefined): string {
  switch (cause.kind) {
    case 'gas':
    case 'friction':
      return 'N';
    case 'scale':
      return '1';
    case 'temperature':
      return 'K';
    case 'needle':
      return adjuster!.unit;
  }
}

/** Causes that cannot be told apart, by name; thicker or thinner oil always stands beside temperature. */
function groupsOf(
  { causes }: DriftExplanation,
  adjusters: readonly Adjuster[],
  terms: readonly CorrectionTerm[],
): readonly (readonly string[])[] {
  return causes.flatMap(({ cause, alternatives }, k) => {
    if (terms[k]!.minor) return [];
    const others = alternatives.map((group) => group.map((one) => causeName(one, adjusters)).join(' with '));
    const oil = cause.kind === 'temperature' ? [OIL] : [];
    const names = [causeName(cause, adjusters), ...oil, ...others];
    return names.length > 1 ? [names] : [];
  });
}

function reasonsOf(
  ids: readonly string[],
  swept: CorrectionSweeps,
  terms: readonly CorrectionTerm[],
  noAdvice: boolean,
): readonly string[] {
  const without = ids.filter((id) => !swept.has(id));
  const assumed = terms.some(({ kind }) => kind === 'temperature');
  return [
    ...(without.length === 0
      ? []
      : [
          `The needle index of ${listText(without)} was not tried, nor are clicks of it advised: neither the reference nor a committed sweep of this spec has another position.`,
        ]),
    ...(assumed ? ['Kelvins rest on an assumed loss of 0.2 % of damping a kelvin (0.1 to 0.3 %).'] : []),
    ...(noAdvice && without.length < ids.length
      ? ['No clicks are advised: the constant force of the test is not known.']
      : []),
  ];
}
