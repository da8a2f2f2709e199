import { SIDE_SIGN } from '../side';
import type { AdviceAdjuster, AdvicePoint, ClickAnswer } from './clickAdvice';
import type { NeedleCurve } from './needleCurve';

/** Positions of a group of adjusters with what they leave. */
export interface RatedClicks extends ClickAnswer {
  /** Weighted sum of squares. */
  readonly squares: number;
  /** Expanded uncertainty at the worst point, over its tolerance. */
  readonly doubt: number;
  /** Largest (|d| - U) / T: above 1 it is shown to be out. */
  readonly proven: number;
}

/**
 * Rates positions of a group of adjusters. What a position of one adjuster does to every point is computed once: thousands of combinations
 * are made of some dozens of positions.
 */
export class ClickRating {
  readonly #own: readonly AdvicePoint[];
  readonly #places: readonly number[];
  readonly #members: readonly AdviceAdjuster[];
  /** By member and position: factor on the damping force of every point. */
  readonly #factors: readonly Map<number, readonly number[]>[];
  readonly #numbers: readonly number[];

  /** @param own the points that the group acts on, of `all`. @param members their numbers among the adjusters. */
  constructor(
    own: readonly AdvicePoint[],
    all: readonly AdvicePoint[],
    members: readonly number[],
    adjusters: readonly AdviceAdjuster[],
  ) {
    this.#own = own;
    this.#places = own.map((point) => all.indexOf(point));
    this.#numbers = members;
    this.#members = members.map((k) => adjusters[k]!);
    this.#factors = members.map(() => new Map());
  }

  /** @param positions one a member. */
  rate(positions: readonly number[]): RatedClicks {
    const columns = positions.map((position, j) => this.#column(j, position));
    let worst = 0;
    let at = -1;
    let doubt = 0;
    let proven = 0;
    let squares = 0;
    for (let i = 0; i < this.#own.length; i++) {
      const point = this.#own[i]!;
      let factor = 1;
      for (let j = 0; j < columns.length; j++) factor *= columns[j]![i]!;
      const drift = (point.reference + point.drift) * factor - point.reference;
      const tolerance = SIDE_SIGN[point.side] * drift > 0 ? point.tolerance.harder : point.tolerance.softer;
      const weighted = drift / (point.u > 0 ? point.u : (tolerance ?? 1));
      squares += weighted * weighted;
      if (tolerance === undefined || !(tolerance > 0)) continue;
      const share = Math.abs(drift) / tolerance;
      const U = Number.isFinite(point.U) ? point.U / tolerance : 0;
      proven = Math.max(proven, share - U);
      if (share > worst) {
        worst = share;
        at = this.#places[i]!;
        doubt = U;
      }
    }
    const moved = positions.reduce((sum, position, j) => sum + Math.abs(position - this.#members[j]!.position), 0);
    return { positions, moved, worst, at, doubt, proven, squares };
  }

  #column(j: number, position: number): readonly number[] {
    let column = this.#factors[j]!.get(position);
    if (column === undefined) {
      const { leftOut } = this.#members[j]!;
      column = this.#own.map(({ needles }) => moveFactor(needles[this.#numbers[j]!], position, leftOut));
      this.#factors[j]!.set(position, column);
    }
    return column;
  }
}

/**
 * What a move does to a damping force. An adjuster that stands where it says goes from its position to the new one. One left out comes back
 * to it from where it truly stands, which is as far on the other side.
 */
function moveFactor(needle: NeedleCurve | undefined, position: number, leftOut: boolean): number {
  if (needle === undefined) return 1;
  const truly = 2 * needle.set - position;
  if (leftOut && truly >= needle.least && truly <= needle.most) return 1 / needle.ratio(truly).value;
  return needle.ratio(position).value;
}
