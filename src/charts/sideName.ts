import type { Side } from '../analysis/side';
import { SIDE_TITLE, type Json, type JsonObject } from './chartSpec';
import type { ChartTheme } from './theme';

/** Names a side beyond the outer end of its curve, where nothing else is drawn. `last` is the row of that end. */
export function sideName(
  last: JsonObject | undefined,
  side: Side,
  { x, y }: { readonly x: JsonObject; readonly y: JsonObject },
  theme: ChartTheme,
  velocity: 'signed' | 'unsigned' = 'unsigned',
): Json[] {
  if (last === undefined) return [];
  const left = side === 'rebound';
  const place =
    velocity === 'unsigned'
      ? { align: 'left', baseline: 'middle', dx: 8 }
      : { align: left ? 'left' : 'right', baseline: left ? 'top' : 'bottom', dy: left ? 12 : -12 };
  return [
    {
      data: { values: [{ velocity: last['velocity']!, force: last['force']!, name: SIDE_TITLE[side] }] },
      mark: { type: 'text', ...place, fontWeight: 'bold', color: theme[side] },
      encoding: { x, y, text: { field: 'name', type: 'nominal' } },
    },
  ];
}
