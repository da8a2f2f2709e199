import { MOST_CONDITION, separabilityOf } from '../../analysis/adjusters/separability';
import type { Side } from '../../analysis/side';
import { SIDES } from '../../analysis/side';
import type { AdjusterReview, Separability, SideEffect, SweepShown } from './adjusterReview';

/** Speeds that differ by less are one. */
const SAME_SPEED = 0.025;

/** Whether the points can tell the swept adjusters apart: one column an adjuster, its effect a unit at every side and speed that all share. */
export function separabilityOfSweeps(sweeps: readonly AdjusterReview[]): Separability | undefined {
  const one = sweeps.filter(({ id }, i) => sweeps.findIndex((other) => other.id === id) === i);
  const moving = one.filter(({ judging }) => judging !== 'no effect');
  if (moving.length < 2) return undefined;
  const columns = moving.map(({ details }) => details.effects);
  const points = SIDES.flatMap((side) =>
    (columns[0]?.[side]?.speeds ?? []).flatMap((speed) => {
      const row = columns.map((effects) => effectAt(effects, side, speed));
      return row.every((value) => value !== undefined) ? [row] : [];
    }),
  );
  const found = separabilityOf(moving.map((_, j) => points.map((row) => row[j]!)));
  if (found === undefined) return undefined;
  const together = found.condition > MOST_CONDITION ? found.together : [];
  return { condition: found.condition, notSeparable: together.map((j) => moving[j]!.id) };
}

function effectAt(effects: SweepShown['effects'], side: Side, speed: number): number | undefined {
  const effect: SideEffect | undefined = effects[side];
  const k = effect?.speeds.findIndex((other) => Math.abs(other - speed) <= SAME_SPEED * speed) ?? -1;
  return k < 0 ? undefined : effect!.perUnit[k]!;
}
