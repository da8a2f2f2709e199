import type { AdvisedSetting, Correction, CorrectionTerm } from '../review/correction';
import type { JudgedResult } from '../review/judgedResult';
import { machine } from '../text/figures';
import type { CorrectionDocument, CorrectionEntry } from './correctionSchema';
import { finite, given, nested } from './presentKeys';

/** What `correct --format json` prints. */
export function correctionDocument(result: JudgedResult, correction: Correction): CorrectionDocument {
  return {
    formatVersion: 1,
    file: result.file,
    spec: result.specId,
    serial: result.serial,
    build: result.build,
    verdict: result.verdict,
    correction: correctionEntry(correction),
    points: correction.points.map(({ point, drift, explained }) => {
      const { setting, pass, side, velocity } = result.points[point]!;
      return {
        setting: nested(setting),
        ...(pass > 1 && { pass }),
        side,
        velocity_mm_s: machine.speed(velocity),
        drift_N: machine.force(drift),
        explained_N: machine.force(explained),
        left_N: machine.force(drift - explained),
      };
    }),
  };
}

/** `correction` of a result in the review document. */
export function correctionEntry(correction: Correction): CorrectionEntry {
  const { advice } = correction;
  return {
    state: correction.state,
    explained_percent: machine.percent(correction.explained),
    terms: correction.terms.map(termEntry),
    notSeparable: correction.notSeparable.map((names) => [...names]),
    conclusions: correction.conclusions.map(({ text, next }) => ({ text, ...(next !== '' && { next }) })),
    ...(correction.reasons.length > 0 && { reasons: [...correction.reasons] }),
    ...given(
      'advice',
      advice && {
        setting: nested(advice.setting),
        groups: advice.groups.map((group) => ({
          adjusters: group.adjusters.map(({ id }) => id),
          sides: [...group.sides],
          exact: group.exact,
          worn: group.worn,
          asSet: answerEntry(group.asSet),
          answers: group.answers.map(answerEntry),
        })),
      },
    ),
  };
}

/** A share becomes percent; all else keeps its unit. */
function termEntry({
  cause,
  value,
  unit,
  U,
  share,
  minor,
  pressure,
}: CorrectionTerm): CorrectionEntry['terms'][number] {
  const round = unit === '1' ? machine.percent : machine.force;
  return {
    cause,
    value: round(value),
    unit: unit === '1' ? '%' : unit,
    U: round(U),
    share_percent: machine.percent(share),
    ...(minor && { minor }),
    ...finite('pressure_bar', pressure?.value, toBar),
    ...finite('pressureU_bar', pressure?.U, toBar),
  };
}

function toBar(pascal: number): number {
  return machine.factor(pascal / 1e5);
}

function answerEntry({
  setting,
  moved,
  worst,
}: AdvisedSetting): NonNullable<CorrectionEntry['advice']>['groups'][number]['asSet'] {
  return {
    setting: nested(setting),
    moved,
    ...given(
      'worst',
      worst && {
        side: worst.side,
        velocity_mm_s: machine.speed(worst.velocity),
        drift_percent_of_tolerance: machine.percent(worst.share),
      },
    ),
  };
}
