import { readFileSync } from 'node:fs';
import Ajv from 'ajv';
import { compile } from 'vega-lite';
import { logger, Warn } from 'vega';
import type { ChartSpec } from '../../src/charts/chartSpec';

/** Vega-Lite's own schema (draft 7), as its package ships it. */
const schema = JSON.parse(
  readFileSync(new URL('../../node_modules/vega-lite/build/vega-lite-schema.json', import.meta.url), 'utf8'),
) as object;
const validate = new Ajv({
  strict: false,
  allowUnionTypes: true,
  formats: { 'color-hex': true, uri: true, 'uri-reference': true },
}).compile(schema);

/** `legend.encoding` is in Vega-Lite's types and code, but hidden from its schema. */
function withoutHidden(value: unknown, key = ''): unknown {
  if (Array.isArray(value)) return value.map((item) => withoutHidden(item));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .filter(([name]) => !(key === 'legend' && name === 'encoding'))
      .map(([name, item]) => [name, withoutHidden(item, name)]),
  );
}

/** What Vega-Lite's schema and compiler say against a chart; empty where it fits. */
export function faultsOf(spec: ChartSpec): readonly unknown[] {
  const faults: unknown[] = [];
  if (!validate(withoutHidden(spec))) faults.push(...(validate.errors ?? []).slice(0, 5));
  const collect = logger(Warn, undefined, (_method, _level, message) => faults.push(message));
  compile(spec as unknown as Parameters<typeof compile>[0], { logger: collect });
  return faults;
}

/** Every object inside a chart. */
export function partsOf(value: unknown): Record<string, unknown>[] {
  if (Array.isArray(value)) return value.flatMap(partsOf);
  if (typeof value !== 'object' || value === null) return [];
  return [value as Record<string, unknown>, ...Object.values(value).flatMap(partsOf)];
}

/** All data rows of a chart. */
export function rowsOf(spec: ChartSpec): Record<string, number | string>[] {
  return partsOf(spec).flatMap((part) =>
    Array.isArray(part['values']) && typeof part['values'][0] === 'object'
      ? (part['values'] as Record<string, number | string>[])
      : [],
  );
}

/** Every expression of a chart: none may hold text from a file. */
export function expressionsOf(spec: ChartSpec): unknown[] {
  return partsOf(spec).flatMap((part) =>
    ['expr', 'calculate', 'signal', 'test', 'filter', 'labelExpr'].flatMap((key) =>
      typeof part[key] === 'string' ? [part[key]] : [],
    ),
  );
}
