import { NearDigressive } from '../analysis/shape/nearDigressive';
import type { Side } from '../analysis/side';
import { SIDE_SIGN } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { DampingCurve } from './dampingCurve';
import type { JudgeInput } from './judgeInput';
import { constantForceOf, curvesOf, rowsAt, speedOfRow } from './referenceCurves';

/**
 * Whether the curve of a side at a setting, and that of the reference at the same speeds, are digressive for certain, as they lie near a
 * digressive one of the reference: told from the rows as they stand, before a curve of them is made. False says nothing.
 */
export function staysDigressive(
  { table, reference }: Pick<JudgeInput, 'table' | 'reference'>,
  setting: Setting,
  side: Side,
): boolean {
  if (reference === undefined) return false;
  const group = rowsAt(table, setting);
  const curve = group && curvesOf(reference).atKey(group.key).of(side);
  const near = curve && nearOf(curve, side);
  if (near === undefined || group!.rows.length !== near.speeds.length) return false;
  makeRoom(near.speeds.length);
  const sign = SIDE_SIGN[side];
  for (let i = 0; i < near.speeds.length; i++) {
    const row = group!.rows[i]!;
    const constant = constantForceOf(table, row);
    if (row.pass !== 1 || constant === undefined) return false;
    const speed = speedOfRow(row, side);
    speeds[i] = speed;
    own[i] = sign * (row[side] - constant);
    there[i] = sign * curve!.damping(speed);
  }
  return near.holds(speeds, own) && near.holds(speeds, there);
}

/** Found once for all results that are held against a reference; null where nothing is certain near it. */
const known = new WeakMap<DampingCurve, NearDigressive | null>();

function nearOf(curve: DampingCurve, side: Side): NearDigressive | undefined {
  let near = known.get(curve);
  if (near === undefined) {
    const { speeds, dampings } = curve;
    const magnitudes = dampings.map((damping) => SIDE_SIGN[side] * damping);
    known.set(curve, (near = NearDigressive.about(speeds, magnitudes) ?? null));
  }
  return near ?? undefined;
}

/** Of the rows of one setting, those of one result after those of another. Made once. */
let speeds = new Float64Array(0);
let own = new Float64Array(0);
let there = new Float64Array(0);

function makeRoom(count: number): void {
  if (speeds.length >= count) return;
  speeds = new Float64Array(count);
  own = new Float64Array(count);
  there = new Float64Array(count);
}
