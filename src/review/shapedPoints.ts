import type { Setting } from '../files/spec';
import type { JudgedPoint } from './judgedResult';
import { sameSetting } from './sameSetting';

/** What the shape of a curve asks of a point; forces are signed [N], speeds unsigned [m/s]. */
export interface ShapedPoint extends Pick<JudgedPoint, 'side' | 'achieved' | 'uncertainty' | 'coverageFactor'> {
  readonly damping: number;
  /** NaN where the reference has none. */
  readonly reference: number;
  readonly cause?: JudgedPoint['cause'] | undefined;
}

/** The points of a result as its shape asks for them: those of the first pass whose damping is known have a place in a curve. */
export interface ShapedPoints {
  /** All of them. */
  readonly points: readonly JudgedPoint[];
  /** The setting of the first point with a place in a curve. @param wanted the setting that it is to have, if any in particular */
  shapedSetting(wanted: Setting | undefined): Setting | undefined;
  /** Shows every one with a place in a curve at a setting. What is shown is written over by the next. */
  eachAt(setting: Setting, show: (point: ShapedPoint) => void): void;
}

/** Those with a place in a curve at a setting. */
export function shapedAt(points: readonly JudgedPoint[], setting: Setting): readonly JudgedPoint[] {
  return points.filter(
    (point) => point.pass === 1 && point.damping !== undefined && sameSetting(point.setting, setting),
  );
}
