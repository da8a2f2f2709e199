import type { Setting, Spec } from '../files/spec';
import type { JudgedPoint } from './judgedResult';
import { sameSetting } from './sameSetting';
import { isShaped, SettingShape } from './settingShape';

/**
 * Shape at the delivery setting of the spec where it was run, else at the setting of the worst point, else at the first: a piston is
 * built for that one, and every other setting bends the curve by its adjusters.
 *
 * @param worst index of the worst point. @returns undefined where no damping force is known.
 */
export function shapeOfResult(
  points: readonly JudgedPoint[],
  worst: number | undefined,
  spec: Spec | undefined,
): SettingShape | undefined {
  const setting = shapeSetting(points, worst === undefined ? undefined : points[worst], spec);
  return setting && new SettingShape(setting, points);
}

function shapeSetting(
  points: readonly JudgedPoint[],
  worst: JudgedPoint | undefined,
  spec: Spec | undefined,
): Setting | undefined {
  const delivery =
    spec !== undefined && Object.hasOwn(spec.settings, 'delivery') ? spec.settings['delivery'] : undefined;
  if (delivery !== undefined) {
    const measured = points.find((point) => isShaped(point) && sameSetting(point.setting, delivery));
    if (measured !== undefined) return measured.setting;
  }
  return (worst?.damping === undefined ? points.find(isShaped) : worst)?.setting;
}
