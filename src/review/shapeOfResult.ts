import type { Setting, Spec } from '../files/spec';
import { SettingShape } from './settingShape';
import type { ShapedPoints } from './shapedPoints';

/**
 * Shape at the delivery setting of the spec where it was run, else at the setting of the worst point, else at the first: a piston is
 * built for that one, and every other setting bends the curve by its adjusters.
 *
 * @param worst setting of the worst point that has a share of tolerance. @returns undefined where no damping force is known.
 */
export function shapeOfResult(
  points: ShapedPoints,
  worst: Setting | undefined,
  spec: Spec | undefined,
): SettingShape | undefined {
  const delivery =
    spec !== undefined && Object.hasOwn(spec.settings, 'delivery') ? spec.settings['delivery'] : undefined;
  const measured = delivery && points.shapedSetting(delivery);
  const setting = measured ?? worst ?? points.shapedSetting(undefined);
  return setting && new SettingShape(setting, points);
}
