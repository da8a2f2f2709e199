import { isObject, type ChartSpec, type Json, type JsonObject } from '../charts/chartSpec';

/** A chart apart from its rows: charts of one kind over tests of one plan differ in their rows alone. */
export interface ChartOutline {
  /** The chart with an empty, named list in place of each list of rows. */
  readonly spec: ChartSpec;
  /** The same text for the same outline. */
  readonly key: string;
  /** The rows by the name of their list. Lists that say the same are one. */
  readonly rows: ReadonlyMap<string, readonly JsonObject[]>;
}

/** Takes the rows out of a chart: every `data: { values: [...] }` of objects. What is named or comes from elsewhere stays as it is. */
export function outlineOf(chart: ChartSpec): ChartOutline {
  const names = new Map<string, string>();
  const rows = new Map<string, readonly JsonObject[]>();
  const nameOf = (values: readonly JsonObject[]): string => {
    const text = JSON.stringify(values);
    const known = names.get(text);
    if (known !== undefined) return known;
    const name = `rows_${names.size}`;
    names.set(text, name);
    rows.set(name, values);
    return name;
  };
  const without = (value: Json): Json => {
    if (isList(value)) return value.map(without);
    if (!isObject(value)) return value;
    return Object.fromEntries(
      Object.entries(value).map(([key, part]) => [key, key === 'data' ? dataWithout(part) : without(part)]),
    );
  };
  const dataWithout = (data: Json): Json => {
    if (!isObject(data)) return data;
    const { name, values } = data;
    if (name !== undefined || values === undefined || !isList(values) || !values.every(isObject)) return data;
    return { ...data, name: nameOf(values), values: [] };
  };
  const spec = without(chart) as JsonObject;
  return { spec, key: JSON.stringify(spec), rows };
}

function isList(value: Json): value is readonly Json[] {
  return Array.isArray(value);
}
