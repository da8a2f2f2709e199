import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { JudgedPoint } from '../review/judgedResult';
import { measure, milli, rounded, type Json, type JsonObject } from './chartSpec';
import { curveOf, hardening } from './pointSets';
import type { ChartTheme } from './theme';

/** Told from the curve as it is now by its dash and its small open squares, whatever the colours. */
const DASH: readonly number[] = [4, 3];

/** Drift over tolerance as it was judged before, behind the curve as it is now. Held inside the axis, as that one is. */
export function earlierDrift(
  points: readonly JudgedPoint[],
  setting: Setting,
  side: Side,
  x: JsonObject,
  [low, high]: readonly [number, number],
  theme: ChartTheme,
): Json[] {
  const values = curveOf(points, setting, side).flatMap((point) => {
    const at = hardening(point);
    return at === undefined
      ? []
      : [{ velocity: milli(point.velocity), before: rounded(Math.min(high, Math.max(low, at))) }];
  });
  if (values.length === 0) return [];
  const encoding = { x, y: measure('before') };
  return [
    {
      data: { values },
      layer: [
        { mark: { type: 'line', color: theme.quiet, strokeWidth: 1.4, strokeDash: DASH }, encoding },
        {
          mark: { type: 'point', shape: 'square', size: 26, stroke: theme.quiet, fill: theme.paper, opacity: 1 },
          encoding,
        },
      ],
    },
  ];
}
