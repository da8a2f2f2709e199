import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { JudgedPoint, JudgedResult } from '../review/judgedResult';

/** Equal for equal settings of one result. */
function keyOf(setting: Setting): string {
  return JSON.stringify(setting);
}

export function sameSetting(a: Setting, b: Setting): boolean {
  return keyOf(a) === keyOf(b);
}

/** Every setting of a result, in the order of its points. */
export function settingsOf(points: readonly { readonly setting: Setting }[]): readonly Setting[] {
  return [...new Map(points.map(({ setting }) => [keyOf(setting), setting])).values()];
}

/** The setting that a reader should see first: that of the worst point, else the first one. */
export function leadingSetting(result: JudgedResult): Setting | undefined {
  const worst = result.worst === undefined ? undefined : result.points[result.worst];
  return (worst ?? result.points[0])?.setting;
}

/** Points of one setting and side by velocity. */
export function curveOf(points: readonly JudgedPoint[], setting: Setting, side: Side): readonly JudgedPoint[] {
  return points
    .filter((point) => point.side === side && sameSetting(point.setting, setting) && Number.isFinite(point.force))
    .sort((a, b) => a.velocity - b.velocity || a.pass - b.pass);
}

/** Drift over tolerance counted positive where the damper is harder; undefined where the point has none. */
export function hardening(point: JudgedPoint): number | undefined {
  if (point.share === undefined || !Number.isFinite(point.share)) return undefined;
  return point.direction === 'softer' ? -point.share : point.share;
}

/** Expanded uncertainty of the drift over tolerance; 0 where it is not known. */
export function uncertaintyShare(point: JudgedPoint): number {
  const share = (point.driftUncertainty ?? point.uncertainty) / (point.tolerance ?? NaN);
  return Number.isFinite(share) ? share : 0;
}
