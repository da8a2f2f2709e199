import type { AdjusterReview, ReviewedStep } from '../review/adjusters/adjusterReview';
import { energyOfStep, stepState } from '../review/adjusters/adjusterWording';
import type { JudgedResult } from '../review/judgedResult';
import { machine } from '../text/figures';
import type { AdjusterEntry } from './adjustersSchema';
import { finite, given, nested } from './presentKeys';
import type { ResultEntry } from './reviewSchema';

/** `adjusters` and `adjustersTogether` of a result's entry; nothing where no adjuster was moved. */
export function adjusterKeys({ adjusters }: JudgedResult): Pick<ResultEntry, 'adjusters' | 'adjustersTogether'> {
  if (adjusters === undefined) return {};
  const { separability } = adjusters;
  return {
    adjusters: adjusters.sweeps.map(entryOf),
    ...(separability !== undefined && {
      adjustersTogether: {
        ...finite('condition', separability.condition, machine.size),
        notSeparable: [...separability.notSeparable],
      },
    }),
  };
}

function entryOf(sweep: AdjusterReview): AdjusterEntry {
  const { limits, band, closure, medianStep } = sweep;
  const { reach, crossTalk, energies } = sweep.details;
  return {
    id: sweep.id,
    unit: sweep.unit,
    countsFrom: sweep.countsFrom,
    held: nested(sweep.held),
    side: sweep.side,
    law: sweep.law,
    judging: sweep.judging,
    ...(limits && { limits_percent: [machine.percent(limits.least), machine.percent(limits.most)] }),
    ...(sweep.law === 'equal'
      ? finite('medianStep_N', medianStep, machine.force)
      : finite('medianStep_percent', medianStep, machine.percent)),
    steps: sweep.steps.filter(({ ratio }) => Number.isFinite(ratio)).map((step) => stepEntry(sweep, step)),
    ...finite('energyAt_mm_s', energies?.speed, machine.speed),
    ...(sweep.reversed && { wrongWay: true }),
    ...given('deadFrom', sweep.deadFrom),
    ...(reach && { reach_mm_s: [machine.speed(reach.from), machine.speed(reach.to)] }),
    ...finite('halfEffect_mm_s', reach?.halfEffect, machine.speed),
    ...given('acts', reach?.acts),
    ...(band && { band_mm_s: [machine.speed(band[0]), machine.speed(band[1])] }),
    effects: effectEntries(sweep),
    ...finite('crossTalk_percent', crossTalk?.share, machine.percent),
    ...finite('crossLimit_percent', crossTalk && sweep.crossLimit, machine.percent),
    ...given('closed', closure?.closed),
    ...(closure && {
      closure: {
        position: closure.position,
        side: closure.side,
        difference_percent: machine.percent(closure.share),
        U_percent: machine.percent(closure.U),
      },
    }),
  };
}

function stepEntry(sweep: AdjusterReview, step: ReviewedStep): AdjusterEntry['steps'][number] {
  return {
    from: step.from,
    to: step.to,
    ratio: machine.factor(step.ratio),
    ...finite('U', step.U, machine.factor),
    state: stepState(sweep, step),
    ...finite('energyPerUnit_J', energyOfStep(sweep, step), machine.size),
  };
}

function effectEntries({ details: { effects } }: AdjusterReview): AdjusterEntry['effects'] {
  return (['compression', 'rebound'] as const).flatMap((side) => {
    const effect = effects[side];
    if (effect === undefined) return [];
    return effect.speeds.map((speed, k) => ({
      side,
      velocity_mm_s: machine.speed(speed),
      perUnit_N: machine.force(effect.perUnit[k]!),
      ...finite('U_N', effect.u && 2 * effect.u[k]!, machine.force),
    }));
  });
}
