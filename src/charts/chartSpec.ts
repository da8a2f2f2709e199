import type { Side } from '../analysis/side';

/** Vega-Lite as plain JSON. Text from files stands in data values and titles only, never in an expression. */
export type Json = string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json };
export type JsonObject = { readonly [key: string]: Json };
export type ChartSpec = JsonObject;

export const SCHEMA = 'https://vega.github.io/schema/vega-lite/v6.json';
/** Charts may not import values of other layers. */
export const SIDES: readonly Side[] = ['compression', 'rebound'];
export const SIGN: Readonly<Record<Side, 1 | -1>> = { compression: 1, rebound: -1 };
export const SIDE_TITLE: Readonly<Record<Side, string>> = { compression: 'Compression', rebound: 'Rebound' };

/** m/s to mm/s and m to mm, without the tail of digits that the multiplication makes. */
export function milli(value: number): number {
  return rounded(value * 1000);
}

/** Six significant digits: far below a pixel, and small in a file. */
export function rounded(value: number): number {
  return Number(value.toPrecision(6));
}

export function isObject(value: Json): value is JsonObject {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** A channel of numbers. */
export function measure(field: string, more: JsonObject = {}): JsonObject {
  return { field, type: 'quantitative', ...more };
}

/** Values of an axis at which a label fits: from `candidates` those at least `gap` pixels apart, the larger one kept at a tie. */
export function ticksThatFit(candidates: readonly number[], pixelOf: (value: number) => number, gap: number): number[] {
  const chosen: number[] = [];
  for (const value of [...new Set(candidates)].sort((a, b) => b - a))
    if (chosen.length === 0 || pixelOf(chosen.at(-1)!) - pixelOf(value) >= gap) chosen.push(value);
  return chosen.reverse();
}
