import { clickSteps, naturalScatter, type ClickStepResult } from '../../analysis/adjusters/clickSteps';
import { deadFrom } from '../../analysis/adjusters/deadRange';
import type { AdjusterSweep, StepLaw } from '../../analysis/adjusters/sweep';
import { wholeEffect } from '../../analysis/adjusters/wholeEffect';
import type { JudgeInput } from '../judgeInput';
import type {
  AdjusterReview,
  AdjustersReview,
  ReviewedLaw,
  ReviewedStep,
  Separability,
  StepJudging,
} from './adjusterReview';
import { closureOfSweep } from './closureOfSweep';
import { ForcesOfSweep } from './forcesOfSweep';
import { movingSide } from './movingSide';
import { openedSweep } from './openedSweep';
import { referenceSweep } from './referenceSweep';
import { separabilityOfSweeps } from './separabilityOfSweeps';
import { settingSweeps, type SettingSweep } from './settingSweeps';
import { SweepDetails } from './sweepDetails';

/** Limits of a step where `tolerance.clickStep` names none: a click lifted by 60 % must not sit at the edge (tried here). */
const LEAST = 0.65;
const MOST = 1.3;
const COVERAGE = 2;

/**
 * Looks at every sweep that a result holds: steps, wrong way, dead range, reach, cross-talk, closure, and whether the points can tell the
 * adjusters apart. Works from the table alone, so that a committed result says the same with and without its logs.
 */
export function reviewAdjusters(input: JudgeInput): AdjustersReview {
  return new SweptAdjusters(settingSweeps(input.table).flatMap((sweep) => reviewSweep(input, sweep) ?? []));
}

/** No verdict rests on what the points can tell apart: that is found when it is shown. */
class SweptAdjusters implements AdjustersReview {
  #separability: { readonly is: Separability | undefined } | undefined;

  constructor(readonly sweeps: readonly AdjusterReview[]) {}

  get separability(): Separability | undefined {
    return (this.#separability ??= { is: separabilityOfSweeps(this.sweeps) }).is;
  }
}

function reviewSweep(input: JudgeInput, sweep: SettingSweep): AdjusterReview | undefined {
  const { table } = input;
  const adjuster = input.spec?.adjusters.find(({ id }) => id === sweep.id);
  const forces = new ForcesOfSweep(table, sweep);
  const side = adjuster?.acts?.side ?? movingSide(sweep, forces, adjuster);
  const acting = side === undefined ? undefined : forces.of(side);
  if (side === undefined || acting === undefined) return undefined;
  const countsFrom = adjuster?.countsFrom ?? 'closed';
  const counted = openedSweep(sweep.positions, acting, countsFrom);
  const { reversed, shown } = wholeEffect(counted);
  // Steps are compared in the direction that the adjuster really works in; that it works backwards is a finding of its own.
  const direction = reversed ? other(countsFrom) : countsFrom;
  const opened = reversed ? openedSweep(sweep.positions, acting, direction) : counted;
  const reference = referenceSweep(input.reference, sweep, { side, direction, speeds: acting.speeds.length });
  const law = lawOf(input, reference);
  const limits = limitsOf(input);
  const closure = closureOfSweep(table, sweep);
  const judged = judgeSteps(opened, { law, limits, reference, repeated: isRepeated(sweep) });
  const judging = judgingOf(judged.result, { law, reference, closure, shown, sweep: opened });
  const dead = shown === false ? deadAltogether(sweep, countsFrom) : judged.dead;
  return {
    id: sweep.id,
    unit: adjuster?.unit ?? sweep.unit,
    countsFrom,
    held: sweep.held,
    side,
    ...(adjuster?.acts?.band !== undefined && { band: adjuster.acts.band }),
    positions: sweep.positions,
    settings: sweep.settings,
    law,
    ...(limits !== undefined && { limits }),
    judging,
    steps: stepsOf(judged.result, judging, limits !== undefined, direction),
    ...(judging !== 'no effect' && { medianStep: judged.result.medianStep }),
    scatter: judged.result.scatter,
    reversed: reversed && shown !== false,
    ...(dead !== undefined &&
      closure?.closed !== false && { deadFrom: ownCount(dead, shown === false ? countsFrom : direction) }),
    crossLimit: adjuster?.acts?.crossLimit,
    ...(closure !== undefined && { closure }),
    details: new SweepDetails({ sweep, forces, adjuster, countsFrom, opened, moves: shown !== false }),
  };
}

function lawOf(input: JudgeInput, reference: AdjusterSweep | undefined): ReviewedLaw {
  return input.spec?.tolerance.clickStep?.law ?? (reference === undefined ? 'equal-ratio' : 'as-reference');
}

function limitsOf({ spec }: JudgeInput): AdjusterReview['limits'] {
  const asked = spec?.tolerance.clickStep;
  return asked && { least: asked.least ?? LEAST, most: asked.most ?? MOST };
}

/** Whether any setting of the sweep was run a second time. */
function isRepeated(sweep: SettingSweep): boolean {
  return sweep.rows.some((rows) => rows.some((row) => row.pass > 1));
}

interface StepQuestion {
  readonly law: ReviewedLaw;
  readonly limits: AdjusterReview['limits'];
  readonly reference: AdjusterSweep | undefined;
  readonly repeated: boolean;
}

function judgeSteps(
  sweep: AdjusterSweep,
  { law, limits, reference, repeated }: StepQuestion,
): { readonly result: ClickStepResult; readonly dead?: number } {
  const stepLaw: StepLaw = law === 'equal' ? 'equal' : 'equal-ratio';
  const expected = law === 'as-reference' ? reference : undefined;
  const scatter = reference && naturalScatter(reference, stepLaw);
  const dead = deadFrom(sweep, {
    law: stepLaw,
    ...(scatter !== undefined && { scatter }),
    ...(expected !== undefined && { reference: expected }),
  });
  const result = clickSteps(sweep, {
    law: stepLaw,
    least: limits?.least ?? LEAST,
    most: limits?.most ?? MOST,
    ...(scatter !== undefined && { scatter }),
    repeated,
    ...(expected !== undefined && { reference: expected }),
    ...(dead !== undefined && { deadFrom: dead }),
  });
  return { result, ...(dead !== undefined && { dead }) };
}

function judgingOf(
  result: ClickStepResult,
  is: {
    readonly law: ReviewedLaw;
    readonly reference: AdjusterSweep | undefined;
    readonly closure: AdjusterReview['closure'];
    readonly shown: boolean | undefined;
    readonly sweep: AdjusterSweep;
  },
): StepJudging {
  if (is.shown === false) return 'no effect';
  if (is.closure?.closed === false) return 'not closed';
  if (result.tooSmall) return 'steps too small';
  if (is.law === 'as-reference' && is.reference === undefined) return 'no reference sweep';
  if (is.sweep.u === undefined) return 'no uncertainty';
  return result.significanceJudged ? 'judged' : 'not repeated';
}

/** Steps in the adjuster's own count; only what the spec limits is outside its limits, and only judged steps are found uneven. */
function stepsOf(
  result: ClickStepResult,
  judging: StepJudging,
  limited: boolean,
  direction: 'closed' | 'open',
): readonly ReviewedStep[] {
  if (judging === 'no effect') return [];
  const told = judging === 'judged' || judging === 'not repeated' || judging === 'no uncertainty';
  const steps = direction === 'open' ? [...result.steps].reverse() : result.steps;
  return steps.map((step) => {
    const [a, b] = [ownCount(step.from, direction), ownCount(step.to, direction)];
    return {
      from: Math.min(a, b),
      to: Math.max(a, b),
      ratio: step.ratio,
      ...(Number.isFinite(step.u) && { U: COVERAGE * step.u }),
      outsideLimits: told && limited && step.outsideLimits,
      uneven: judging === 'judged' && limited && step.uneven,
      wrongWay: judging === 'judged' && step.wrongWay,
    };
  });
}

/** Few positions that do not differ are a narrow sweep, not a dead adjuster. */
const ENOUGH_POSITIONS = 5;

/** The closed end, where an adjuster moves nothing over a sweep that should have shown it. */
function deadAltogether(sweep: SettingSweep, direction: 'closed' | 'open'): number | undefined {
  if (sweep.positions.length < ENOUGH_POSITIONS) return undefined;
  return direction === 'open' ? -sweep.positions.at(-1)! : sweep.positions[0]!;
}

/** From positions as they open back to the adjuster's own count. */
function ownCount(opened: number, direction: 'closed' | 'open'): number {
  return direction === 'open' ? 0 - opened : opened;
}

function other(direction: 'closed' | 'open'): 'closed' | 'open' {
  return direction === 'open' ? 'closed' : 'open';
}
