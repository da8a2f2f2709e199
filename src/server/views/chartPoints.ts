import { settingKey } from '../../review/referenceCurves';
import type { JudgedPoint, JudgedResult } from '../../review/judgedResult';
import type { Setting } from '../../files/spec';
import { pointLabel } from '../../reports/pointWords';
import { spellHidden } from '../../text/visible';
import type { PointView } from '../../protocol/views';
import { rowNumber } from './resultParts';

/** The points of a setting in the order in which a keyboard goes through them: by side, then by speed. */
export function forcePoints(result: JudgedResult, setting: Setting): readonly PointView[] {
  return pointsAt(result, setting).map((point) => viewOf(result, point));
}

/** Those of them that a chart of drift over tolerance shows. */
export function driftPoints(result: JudgedResult, setting: Setting): readonly PointView[] {
  return pointsAt(result, setting)
    .filter(({ share }) => share !== undefined && Number.isFinite(share))
    .map((point) => viewOf(result, point));
}

function pointsAt(result: JudgedResult, setting: Setting): readonly JudgedPoint[] {
  const key = settingKey(setting);
  return result.points
    .filter((point) => Number.isFinite(point.force) && settingKey(point.setting) === key)
    .sort(
      (a, b) =>
        (a.side === b.side ? 0 : a.side === 'compression' ? -1 : 1) || a.velocity - b.velocity || a.pass - b.pass,
    );
}

function viewOf(result: JudgedResult, point: JudgedPoint): PointView {
  const row = rowNumber(result, point);
  return { row, key: `${point.side} ${row}`, label: spellHidden(pointLabel(point)) };
}
