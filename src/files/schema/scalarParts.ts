import * as z from 'zod';
import { isQuantityProblem, parseQuantity } from '../../quantities/quantity';
import { unitsOf } from '../../quantities/unit';
import type { Dimension } from '../../quantities/unit';
import { identityFault } from '../identityText';
import { repositoryPath } from '../paths';
import { addFault } from './faults';
import { scalar } from './parts';

/*
 * Scalars of preambles. Every scalar arrives as its text (yamlTree.ts) and leaves as what the review uses, SI. A fault carries its rule (where
 * it is not the file's own) and its remedy in the issue's `params`.
 */

/** Control characters and the invisible ones that turn the direction of text or hide in it. */
const INVISIBLE = /[\p{C}\p{Zl}\p{Zp}]/u;

/** One line of text, kept as written. */
export function text(description: string, longest = 200) {
  return scalar(
    () =>
      z
        .string()
        .meta({ description })
        .superRefine((value, context) => {
          if (value.trim() === '') addFault(context, 'There is no value here.', NO_VALUE);
          else if (value.length > longest) {
            addFault(context, `The text has ${value.length} characters; at most ${longest} are allowed.`, {
              remedy: 'Shorten it.',
            });
          } else if (INVISIBLE.test(value)) {
            addFault(context, 'The text holds a line break or an invisible character.', {
              remedy: 'Write it in one line of plain text.',
            });
          }
        }),
    (value) => (value.trim() === '' || value.length > longest || INVISIBLE.test(value) ? undefined : value),
  );
}
const NO_VALUE = { remedy: 'Write a value, or leave the key out.' };

/** The name of a spec, damper, build or bench, kept as written. */
export function identity(description: string) {
  return scalar(
    () =>
      z
        .string()
        .meta({ description })
        .superRefine((value, context) => {
          const fault = identityFault(value);
          if (fault !== undefined) addFault(context, fault.message, { remedy: fault.remedy });
        }),
    (value) => (identityFault(value) === undefined ? value : undefined),
  );
}

export interface Bounds {
  /** SI; the value must be greater. */
  readonly above?: number;
  /** SI; the value must not be smaller. */
  readonly least?: number;
}

/** A number with its unit, such as `50 mm`; SI. */
export function quantity(dimension: Dimension, description: string, bounds: Bounds = {}) {
  const example = `${dimension === 'fraction' ? 5 : 50} ${unitsOf(dimension)[0]!}`;
  return scalar(
    () =>
      z
        .string()
        .meta({ description, examples: [example] })
        .transform((value, context): number => {
          const result = parseQuantity(value, dimension);
          if (isQuantityProblem(result)) {
            const rule = UNIT_FAULTS.has(result.fault) ? { rule: 'unit-mismatch' } : {};
            addFault(context, result.problem, { ...rule, remedy: result.remedy });
            return z.NEVER;
          }
          const outside = boundsFault(result.value, bounds);
          if (outside !== undefined)
            addFault(context, `${value} ${outside}.`, { remedy: 'Check the number and its unit.' });
          return result.value;
        }),
    (value) => {
      const result = parseQuantity(value, dimension);
      return isQuantityProblem(result) || boundsFault(result.value, bounds) !== undefined ? undefined : result.value;
    },
  );
}

const UNIT_FAULTS: ReadonlySet<string> = new Set(['unknown-unit', 'wrong-dimension']);

/** A quantity that is more than zero. */
export function positive(dimension: Dimension, description: string) {
  return quantity(dimension, description, { above: 0 });
}

function boundsFault(value: number, bounds: Bounds): string | undefined {
  if (bounds.above !== undefined && value <= bounds.above)
    return bounds.above === 0 ? 'is not above zero' : 'is too small';
  if (bounds.least !== undefined && value < bounds.least) return bounds.least === 0 ? 'is below zero' : 'is too small';
  return undefined;
}

/** A whole number within bounds, both included. */
export function whole(description: string, least: number, most: number) {
  return scalar(
    () =>
      z
        .string()
        .meta({ description, type: 'integer' })
        .transform((value, context): number => {
          const number = wholeWithin(value, least, most);
          if (number !== undefined) return number;
          addFault(context, `'${value}' is not a whole number from ${least} to ${most}.`, {
            remedy: 'Write a whole number in that range, without a unit.',
          });
          return z.NEVER;
        }),
    (value) => wholeWithin(value, least, most),
  );
}

function wholeWithin(value: string, least: number, most: number): number | undefined {
  const number = /^\d{1,9}$/.test(value.trim()) ? Number(value) : NaN;
  return number >= least && number <= most ? number : undefined;
}

export function yesNo(description: string) {
  return scalar(
    () =>
      z
        .string()
        .meta({ description, type: 'boolean' })
        .transform((value, context): boolean => {
          if (YES.has(value)) return true;
          if (NO.has(value)) return false;
          addFault(context, `'${value}' is neither yes nor no.`, { remedy: 'Write true or false.' });
          return z.NEVER;
        }),
    (value) => (YES.has(value) ? true : NO.has(value) ? false : undefined),
  );
}
const YES: ReadonlySet<string> = new Set(['true', 'yes']);
const NO: ReadonlySet<string> = new Set(['false', 'no']);

/** One of a few words. */
export function oneOf<const Words extends readonly [string, ...string[]]>(description: string, words: Words) {
  return scalar(
    () => z.enum(words).meta({ description }),
    (value) => (words.includes(value) ? value : undefined),
  );
}

/** A day, or a day and time with its zone as in ISO 8601; kept as written. */
export function moment(description: string) {
  return scalar(
    () =>
      z
        .string()
        .meta({ description })
        .superRefine((value, context) => {
          if (!isMoment(value)) {
            addFault(context, `'${value}' is not a date.`, {
              remedy: 'Write it as 2026-03-14 or 2026-03-14T10:22:00Z.',
            });
          }
        }),
    (value) => (isMoment(value) ? value : undefined),
  );
}
const MOMENT =
  /^(\d{4}-\d{2}-\d{2})(?:[T ]([01]\d|2[0-3]):[0-5]\d(?::[0-5]\d(?:\.\d{1,9})?)?(?:Z|[+-](?:[01]\d|2[0-3]):?[0-5]\d)?)?$/;

function isMoment(value: string): boolean {
  const day = MOMENT.exec(value)?.[1];
  return day !== undefined && isDay(day);
}

export function isDay(value: string): boolean {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(value);
  if (match === null) return false;
  const [year, month, date] = [Number(match[1]), Number(match[2]), Number(match[3])];
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  const days = [31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1];
  return days !== undefined && date >= 1 && date <= days;
}

/** A path that stays inside the repository, seen from the folder of the file it stands in, or from the root where `base` is ''. */
export function pathInside(description: string, base: string) {
  return scalar(
    () =>
      z
        .string()
        .meta({ description })
        .transform((value, context): string => {
          const result = repositoryPath(value, base);
          if ('path' in result) return result.path;
          addFault(context, result.problem, { rule: 'path-outside', remedy: result.remedy });
          return z.NEVER;
        }),
    (value) => {
      const result = repositoryPath(value, base);
      return 'path' in result ? result.path : undefined;
    },
  );
}

const DIGEST = /^[0-9a-f]{64}$/;

/** 64 hexadecimal digits. */
export function sha256(description: string) {
  return scalar(
    () =>
      z
        .string()
        .meta({ description })
        .superRefine((value, context) => {
          if (!DIGEST.test(value))
            addFault(context, 'This is not a SHA-256 in lower-case hexadecimal.', { remedy: 'Reduce the log again.' });
        }),
    (value) => (DIGEST.test(value) ? value : undefined),
  );
}

/** The only version of these files so far. */
export const formatVersion = scalar(
  () =>
    z
      .string()
      .meta({ description: 'Version of the file format.', type: 'integer', enum: [1] })
      .transform((value, context): number => {
        if (value === '1') return 1;
        const newer = /^\d+$/.test(value) && Number(value) > 1;
        addFault(
          context,
          newer ? `Format version ${value} is newer than this program.` : `'${value}' is not a format version.`,
          {
            remedy: newer
              ? 'Update the program, or write formatVersion: 1 if the file follows the page of version 1.'
              : 'Write formatVersion: 1.',
          },
        );
        return z.NEVER;
      }),
  (value) => (value === '1' ? 1 : undefined),
);
