import type { Json, JsonObject } from './chartSpec';
import type { ChartTheme } from './theme';

/** Signal of a chart whose points can be chosen: the row that is marked; 0 marks none. */
export const SELECTED_ROW = 'selectedRow';

/** Top-level part of a chart whose points can be chosen. */
export function selectionParams(): JsonObject {
  return { params: [{ name: SELECTED_ROW, value: 0 }] };
}

/** A ring around the points of the marked row; rows carry `row`. The expression is ours alone. */
export function selectionRing(theme: ChartTheme, encoding: JsonObject): Json {
  return {
    transform: [{ filter: `datum.row === ${SELECTED_ROW}` }],
    mark: {
      type: 'point',
      shape: 'circle',
      size: 260,
      strokeWidth: 2.4,
      stroke: theme.ink,
      fill: 'transparent',
      opacity: 1,
    },
    encoding,
  };
}
