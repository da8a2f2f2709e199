import type { SideShape, WithUncertainty } from '../analysis/shape/sideShape';
import type { ResultShape, SideRatio } from '../review/resultShape';
import { machine } from '../text/figures';
import { finite, given, nested } from './presentKeys';
import type { ShapeEntry, SideShapeEntry } from './shapeSchema';

/** Shape of a result as the JSON document has it; keys that the points cannot support are absent. */
export function shapeEntry(shape: ResultShape | undefined): ShapeEntry | undefined {
  if (shape === undefined) return undefined;
  const reference = {
    ...given('compression', sideEntry(shape.reference.compression)),
    ...given('rebound', sideEntry(shape.reference.rebound)),
  };
  const setting = nested(shape.setting);
  return {
    ...(Object.keys(setting).length > 0 && { setting }),
    ...given('piston', shape.piston),
    ...given('compression', sideEntry(shape.compression)),
    ...given('rebound', sideEntry(shape.rebound)),
    ...(Object.keys(reference).length > 0 && { reference }),
    ...(shape.ratios.length > 0 && { ratios: shape.ratios.map(ratioEntry) }),
  };
}

function sideEntry(shape: SideShape | undefined): SideShapeEntry | undefined {
  if (shape === undefined) return undefined;
  return {
    kind: shape.kind,
    ...(shape.kneeBelowFirstStep && { kneeBelowFirstStep: true as const }),
    ...value('knee_mm_s', 'U', shape.knee, machine.speed),
    ...value('slopeBelow_N_s_m', 'slopeBelowU_N_s_m', shape.slopeBelow, machine.size),
    ...value('slopeAbove_N_s_m', 'slopeAboveU_N_s_m', shape.slopeAbove, machine.size),
    ...value('forceAtZero_N', 'forceAtZeroU_N', shape.forceAtZero, machine.force),
    ...value('exponent', 'exponentU', shape.exponent, machine.factor),
    ...given('reason', shape.reason),
  };
}

function value<Key extends string, Spread extends string>(
  key: Key,
  spread: Spread,
  known: WithUncertainty | undefined,
  round: (value: number) => number,
): Partial<Record<Key | Spread, number>> {
  return { ...finite(key, known?.value, round), ...finite(spread, known?.U, round) } as Partial<
    Record<Key | Spread, number>
  >;
}

function ratioEntry({ velocity, ratio, U, reference }: SideRatio): NonNullable<ShapeEntry['ratios']>[number] {
  return {
    velocity_mm_s: machine.speed(velocity),
    reboundOverCompression: machine.size(ratio),
    ...finite('U', U, machine.size),
    ...finite('reference', reference, machine.size),
  };
}
