import type { ForceRow } from '../files/forceTable';
import type { Settling, ToleranceZone } from './decisionRule';
import { MOST_CYCLES } from './decisionRule';
import type { JudgedPoint } from './judgedResult';
import { temperatureReason } from './obstacles';
import type { PointInput, RowPlace, Weighing } from './weighing';
import { forceText, settingText, speedText } from './wording';

/** Why a point is undecided, one sentence each. */

/** Parts of the uncertainty as a sentence names them. */
const PART_WORDS: Readonly<Record<string, string>> = {
  cycles: 'scatter between cycles',
  method: 'reading the force at peak speed',
  'load cell': 'the load cell',
  displacement: 'the displacement channel',
  'time skew': 'the skew between channels',
  gas: 'the constant force',
  temperature: 'temperature',
  'run to run': 'remounting between runs',
  extrapolation: "reading beyond the reference's end",
  normalising: 'the correction for temperature',
};

/** Of a point that was not weighed against its limits for a cause of its own. */
export function reasonOf(weighing: Weighing, input: PointInput, row: ForceRow, place: RowPlace): string {
  const { cause, side } = weighing;
  switch (cause) {
    case 'reference':
      return `The reference has no curve at ${settingText(place.setting)}.`;
    case 'range': {
      const { from, to } = place.curves!.of(side)!;
      return `The reference runs from ${speedText(from)} to ${speedText(to)}; ${speedText(weighing.achieved)} lies too far outside.`;
    }
    case 'temperature':
      return temperatureReason(input.spec!, row);
    case 'tolerance':
      return `Not judged: the spec gives no tolerance for ${side}.`;
    case 'uncertainty':
      return 'The result does not state its uncertainty.';
    default:
      return `The constant force of the ${Number.isNaN(weighing.damping) ? 'test' : 'reference'} is not known, so damping force is not either.`;
  }
}

type GuardedPoint = Pick<JudgedPoint, 'tolerance' | 'drift' | 'driftUncertainty' | 'direction'>;

/** Of a point inside the guard band, with what would settle it. */
export function guardBandReason(point: GuardedPoint, zone: ToleranceZone, settling: Settling | undefined): string {
  const { drift, driftUncertainty } = point;
  const start = `Drift ${forceText(Math.abs(drift!))} with U ${forceText(driftUncertainty!)} is neither safely inside nor safely outside ${limitText(point, zone)}`;
  if (settling === undefined) return `${start}; what would settle it cannot be said without the log.`;
  if (settling.kind === 'cycles')
    return `${start}; ${settling.cycles} cycles in this step would settle it if its mean stays.`;
  if (settling.kind === 'too many') return `${start}; even ${MOST_CYCLES} cycles would not settle it.`;
  const largest = PART_WORDS[settling.largest] ?? settling.largest;
  return `${start}; more cycles cannot settle this; the largest part is ${largest}.`;
}

/** The limit that the interval of drift +- U crosses: of the drift's own direction, or where limits differ of the other one. */
function limitText({ tolerance, drift, driftUncertainty, direction }: GuardedPoint, zone: ToleranceZone): string {
  const crossesOwn = tolerance !== undefined && Math.abs(drift!) + driftUncertainty! > tolerance;
  if (crossesOwn || direction === undefined) return `the tolerance of ${forceText(tolerance ?? NaN)}`;
  const other = direction === 'harder' ? 'softer' : 'harder';
  return `the tolerance of ${forceText(zone[other] ?? NaN)} ${other}`;
}
