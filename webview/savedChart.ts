import { vega, vegaLite } from 'vega-embed';
import { expressionInterpreter } from 'vega-interpreter';
import type { ChartView } from '../src/protocol/views';
import { csvOf } from './tables';
import { coloursNow } from './themeColours';

type Spec = ChartView['spec'];

/** A drawing of its own: colours of the present theme in place of custom properties, on its paper. */
export async function drawnSvg(spec: Spec): Promise<string> {
  const view = viewOf(spec);
  const svg = await view.toSVG();
  view.finalize();
  return svg;
}

/** Base64 of a PNG with two pixels for one. */
export async function drawnPng(spec: Spec): Promise<string> {
  const view = viewOf(spec);
  const url = await view.toImageURL('png', 2);
  view.finalize();
  return url.slice(url.indexOf(',') + 1);
}

/** The rows as they are drawn, one table for all layers: `layer` counts them, a cell is empty where a layer has no such column. */
export function drawnCsv(spec: Spec): Promise<string> {
  const layers = rowsOf(spec).filter((rows) => rows.length > 1);
  const names = [...new Set(layers.flatMap((rows) => rows.flatMap((row) => Object.keys(row))))];
  const rows = layers.flatMap((layer, i) =>
    layer.map((row) => ({ cells: [String(i + 1), ...names.map((name) => cellText(row[name]))] })),
  );
  return Promise.resolve(csvOf({ columns: ['layer', ...names].map((head) => ({ head, numeric: false })), rows }));
}

function cellText(value: unknown): string {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean' ? String(value) : '';
}

function viewOf(spec: Spec): InstanceType<typeof vega.View> {
  const colours = coloursNow();
  const resolved = JSON.parse(
    JSON.stringify(spec).replace(/var\((--chart-[\w-]+)\)/g, (_, name: string) => colours.get(name) ?? '#808080'),
  ) as Record<string, unknown>;
  const paper = colours.get('--chart-paper') ?? '#ffffff';
  const config = { ...(resolved['config'] as object | undefined), background: paper };
  const compiled = vegaLite.compile({ ...resolved, config } as unknown as Parameters<typeof vegaLite.compile>[0]).spec;
  return new vega.View(vega.parse(compiled, undefined, { ast: true }), {
    renderer: 'none',
    expr: expressionInterpreter,
  });
}

type Row = Readonly<Record<string, unknown>>;

/** Every inline data set of a specification, in order, each once. */
function rowsOf(part: unknown): (readonly Row[])[] {
  if (typeof part !== 'object' || part === null) return [];
  if (Array.isArray(part)) return part.flatMap(rowsOf);
  const { data, ...others } = part as { readonly data?: { readonly values?: unknown } };
  const values = Array.isArray(data?.values) ? [data.values as readonly Row[]] : [];
  return [...values, ...Object.values(others).flatMap(rowsOf)];
}
