import type { SideCurve } from '../analysis/shape/sideCurve';
import { distinctSpeeds, sideCurve } from '../analysis/shape/sideCurve';
import type { SideShape } from '../analysis/shape/sideShape';
import { LEAST_SPEEDS, shapeOfCurve } from '../analysis/shape/sideShape';
import { isSurelyDigressive } from '../analysis/shape/surelyDigressive';

/** One side's curve of a test or reference, and its shape when it is asked for. */
export class CurveShape {
  readonly #curve: SideCurve;
  #shape: SideShape | undefined;

  /** @param speeds unsigned [m/s]. @param damping magnitudes [N]. @param u standard uncertainties [N], where known. */
  constructor(speeds: readonly number[], damping: readonly number[], u: readonly (number | undefined)[]) {
    this.#curve = sideCurve(speeds, damping, u);
  }

  get shape(): SideShape {
    return (this.#shape ??= shapeOfCurve(this.#curve));
  }

  /** False says nothing. */
  isSurelyDigressive(): boolean {
    return distinctSpeeds(this.#curve) < LEAST_SPEEDS || isSurelyDigressive(this.#curve);
  }
}
