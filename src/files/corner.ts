import type { SourcePosition } from './problem';

/** A car's corner that a damper sits in (`NAME.corner.yaml`). SI. Ratios are damper or spring travel over wheel travel. */
export interface Corner {
  readonly file: string;
  readonly id: string;
  readonly title?: string;
  /** Id of the spec of its damper. */
  readonly spec?: string;
  /** Of this corner, without wheel and half of the links [kg]. */
  readonly sprungMass: number;
  readonly unsprungMass?: number;
  /** Of the spring itself [N/m]. */
  readonly springRate: number;
  readonly motionRatio: number;
  /** Where the spring does not sit on the damper; else the damper's. */
  readonly springMotionRatio?: number;
  /** [N/m] */
  readonly tyreRate?: number;
  /** Damper travel from ride height to the bump stop and to full extension [m]. */
  readonly bumpTravel?: number;
  readonly reboundTravel?: number;
  positionOf(keyPath: string): SourcePosition;
}
