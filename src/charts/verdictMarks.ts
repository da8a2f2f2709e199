import type { Verdict } from '../review/judgedResult';
import type { Json, JsonObject } from './chartSpec';
import type { ChartTheme } from './theme';

/** A verdict is a shape first: a disc inside, an open diamond undecided, a saltire outside. */
const SHAPES: readonly { readonly verdict: Verdict; readonly label: string; readonly shape: string }[] = [
  { verdict: 'pass', label: 'inside tolerance', shape: 'circle' },
  { verdict: 'undecided', label: 'undecided', shape: 'diamond' },
  { verdict: 'fail', label: 'outside tolerance', shape: 'M-0.8,-0.8L0.8,0.8M-0.8,0.8L0.8,-0.8' },
];

/** What a data row carries in its field `state`. */
export function verdictLabel(verdict: Verdict): string {
  return SHAPES.find((s) => s.verdict === verdict)!.label;
}

/** The shape channel over the field `state`, with a legend of the states that occur. */
export function verdictShape(theme: ChartTheme, present: ReadonlySet<Verdict>): JsonObject {
  const used = SHAPES.filter(({ verdict }) => present.has(verdict));
  return {
    field: 'state',
    type: 'nominal',
    scale: { domain: used.map(({ label }) => label), range: used.map(({ shape }) => shape) },
    legend: used.length === 0 ? null : { symbolStrokeWidth: 1.6, ...filledWhere(verdictLabel('pass'), theme) },
  };
}

/** Marker layers for rows with `state`: the shape says the verdict, points outside are drawn heavier and in the alarm colour. */
export function verdictPoints(
  theme: ChartTheme,
  colour: string,
  encoding: JsonObject,
  present: ReadonlySet<Verdict>,
): Json {
  const outside = verdictLabel('fail');
  return {
    mark: { type: 'point', opacity: 1 },
    encoding: {
      ...encoding,
      shape: verdictShape(theme, present),
      stroke: { condition: { test: { field: 'state', equal: outside }, value: theme.fail }, value: colour },
      strokeWidth: { condition: { test: { field: 'state', equal: outside }, value: 2.4 }, value: 1.6 },
      fill: {
        condition: [
          { test: { field: 'state', equal: verdictLabel('pass') }, value: colour },
          { test: { field: 'state', equal: verdictLabel('undecided') }, value: theme.paper },
        ],
        value: 'transparent',
      },
      size: { condition: { test: { field: 'state', equal: verdictLabel('pass') }, value: 24 }, value: 80 },
    },
  };
}

/** Fills the symbol of one entry of a legend, as the points of that entry are filled. */
export function filledWhere(label: string, theme: ChartTheme): JsonObject {
  const fill = { condition: { test: `datum.label === '${label}'`, value: theme.ink }, value: 'transparent' };
  return { encoding: { symbols: { fill, stroke: { value: theme.ink } } } };
}
