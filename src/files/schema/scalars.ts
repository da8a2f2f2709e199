import * as z from 'zod';
import { NUMBER_PATTERN } from '../../quantities/quantity';
import type { Dimension } from '../../quantities/unit';
import { checkGlob } from '../globs';
import { addFault } from './faults';
import * as parts from './scalarParts';

/* Schemas of scalars: those that preambles have as well (scalarParts.ts), and others. */

export const formatVersion = parts.formatVersion.schema;
export const text = (description: string, longest?: number) => parts.text(description, longest).schema();
export const identity = (description: string) => parts.identity(description).schema();
export const quantity = (dimension: Dimension, description: string, bounds?: parts.Bounds) =>
  parts.quantity(dimension, description, bounds).schema();
export const positive = (dimension: Dimension, description: string) => parts.positive(dimension, description).schema();
export const moment = (description: string) => parts.moment(description).schema();
export const whole = (description: string, least: number, most: number) =>
  parts.whole(description, least, most).schema();
export const yesNo = (description: string) => parts.yesNo(description).schema();
export const oneOf = <const Words extends readonly [string, ...string[]]>(description: string, words: Words) =>
  parts.oneOf(description, words).schema();

/** A quantity that is zero or more. */
export function notNegative(dimension: Dimension, description: string) {
  return quantity(dimension, description, { least: 0 });
}

/** A plain number without a unit. */
export function decimal(description: string) {
  return z
    .string()
    .meta({ description, type: 'number' })
    .transform((value, context): number => {
      if (NUMBER_PATTERN.test(value.trim()) && Number.isFinite(Number(value))) return Number(value);
      addFault(context, `'${value}' is not a number.`, {
        remedy: 'Write a plain number with a decimal point and without a unit.',
      });
      return z.NEVER;
    });
}

/** A day, `YYYY-MM-DD`, that the calendar has. */
export function day(description: string) {
  return z
    .string()
    .meta({ description, format: 'date' })
    .superRefine((value, context) => {
      if (!parts.isDay(value))
        addFault(context, `'${value}' is not a day of the calendar.`, {
          remedy: 'Write it as YYYY-MM-DD, for example 2026-03-14.',
        });
    });
}

/** A pattern over repository paths. */
export function glob(description: string) {
  return z
    .string()
    .meta({ description })
    .superRefine((value, context) => {
      const fault = checkGlob(value);
      if (fault !== undefined) addFault(context, fault.problem, { remedy: fault.remedy });
    });
}
