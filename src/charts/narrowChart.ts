import { isObject, type ChartSpec, type Json, type JsonObject } from './chartSpec';

/** Smallest text [px] that a reader is shown. */
const SMALLEST_TEXT = 11;
/** Pixels of an axis that one label takes with its neighbourhood. */
const LABEL_ROOM = 42;
/** Pixels beside the plot that a name of the legend may reach into; what is longer ends in dots. */
const BESIDE = 90;
/** Pixels of a letter of the axes' text, on the wide side. */
const LETTER = 6;

/**
 * A chart for little room across: names of the legend below each other, titles of the velocity and stroke axes broken into lines that fit, fewer
 * labels on those axes, and no text below 11 pixels. What is drawn stays as it is. @param plot pixels across between the axes
 */
export function narrowChart(spec: ChartSpec, plot: number): ChartSpec {
  const fitted = fit(spec, plot) as JsonObject;
  const config = (fitted['config'] ?? {}) as JsonObject;
  const legend = {
    ...(config['legend'] as JsonObject | undefined),
    columns: 1,
    direction: 'vertical',
    labelLimit: plot + BESIDE,
  };
  return { ...fitted, config: { ...config, legend } };
}

function fit(part: Json, plot: number): Json {
  if (Array.isArray(part)) return (part as readonly Json[]).map((one) => fit(one, plot));
  if (typeof part !== 'object' || part === null) return part;
  const entries = Object.entries(part as JsonObject).map(([key, value]): [string, Json] => {
    if (key === 'values') return [key, value]; // rows, and labels that were chosen by their room
    if (key === 'fontSize' && typeof value === 'number') return [key, Math.max(SMALLEST_TEXT, value)];
    if (key === 'x' && isObject(value) && isObject(value['axis'] ?? null))
      return [key, { ...value, axis: narrowAxis(value['axis'] as JsonObject, plot) }];
    return [key, fit(value, plot)];
  });
  return Object.fromEntries(entries);
}

function narrowAxis(axis: JsonObject, plot: number): JsonObject {
  const { title, tickCount } = axis;
  return {
    ...axis,
    ...(typeof title === 'string' && { title: linesThatFit(title, plot) }),
    ...(typeof tickCount === 'number' && {
      tickCount: Math.min(tickCount, Math.max(2, Math.floor(plot / LABEL_ROOM))),
    }),
  };
}

/** Broken behind commas, where the title itself makes a rest. */
function linesThatFit(title: string, plot: number): Json {
  if (title.length * LETTER <= plot) return title;
  const lines = title.split(/(?<=,) /);
  return lines.length === 1 ? title : lines;
}
