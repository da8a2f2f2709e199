import type { JudgedPoint } from '../review/judgedResult';
import { rounded, type Json, type JsonObject } from './chartSpec';
import type { ChartTheme } from './theme';

/** A ceiling this many times above the largest compression damping says nothing of it, and would press the curves together. */
const FAR_ABOVE = 2;

/** Points of compression whose damping is to be seen against what gas pressure holds; none where that is far above them. */
export function pointsUnderCeiling(compression: readonly JudgedPoint[]): readonly JudgedPoint[] {
  const bounded = compression.filter((point) => point.ceiling !== undefined && point.damping !== undefined);
  const lowest = Math.min(...bounded.map((point) => point.ceiling!));
  const largest = Math.max(...bounded.map((point) => point.damping!));
  return lowest <= FAR_ABOVE * largest ? bounded : [];
}

/** Line of the cavitation ceiling with its name. @param xOf place of a point on the axis. @param offset added to damping for the force that is drawn [N] */
export function cavitationLine(
  compression: readonly JudgedPoint[],
  { x, y }: { readonly x: JsonObject; readonly y: JsonObject },
  theme: ChartTheme,
  xOf: (point: JudgedPoint) => number,
  offset: (point: JudgedPoint) => number,
): Json[] {
  const values = pointsUnderCeiling(compression).map((point) => ({
    velocity: xOf(point),
    force: rounded(point.ceiling! + offset(point)),
  }));
  const [first] = values;
  if (first === undefined) return [];
  const line: Json = {
    mark: { type: 'line', color: theme.compression, strokeDash: [1.5, 3], strokeWidth: 1.4, strokeCap: 'round' },
    encoding: { x, y },
  };
  const name: Json = {
    data: { values: [{ ...first, name: 'cavitation ceiling' }] },
    mark: { type: 'text', align: 'left', baseline: 'bottom', dy: -3, color: theme.quiet },
    encoding: { x, y, text: { field: 'name', type: 'nominal' } },
  };
  return [{ data: { values }, layer: [line, name] }];
}
