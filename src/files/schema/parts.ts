import * as z from 'zod';
import { madeOnce } from './madeOnce';

/*
 * What preambles are made of. A preamble in order, as nearly all are, is read without the validator, which takes ten times as long and whose
 * schemas take longer to make than one preamble takes to read; a part tells both from one place, and its schema is made when the validator
 * is asked. The tests hold the two against each other.
 */

/** What a text means where it is in order, undefined where it is not. */
export type TextReader = (text: string) => unknown;

/** A value in which every scalar is its text. */
export type TextValue = string | readonly TextValue[] | { readonly [key: string]: TextValue };

/** The same as the validator makes of a value that is in order, undefined for every other. */
export type ValueReader = (value: TextValue) => unknown;

export interface Part<Schema extends z.ZodType = z.ZodType> {
  readonly schema: () => Schema;
  readonly read: ValueReader;
  readonly isOptional: boolean;
}

export type Parts = Readonly<Record<string, Part>>;
export type SchemasOf<Of extends Parts> = { [Key in keyof Of]: ReturnType<Of[Key]['schema']> };

/** What the JSON Schema says of a part. */
interface About {
  readonly title?: string;
  readonly description?: string;
}

/** A text, read by itself. */
export function scalar<Schema extends z.ZodType>(make: () => Schema, read: TextReader): Part<Schema> {
  return {
    schema: madeOnce(make),
    read: (value) => (typeof value === 'string' ? read(value) : undefined),
    isOptional: false,
  };
}

/** What the validator alone can read. */
export function validated<Schema extends z.ZodType>(make: () => Schema): Part<Schema> {
  const schema = madeOnce(make);
  return {
    schema,
    read: (value) => {
      const result = schema().safeParse(value);
      return result.success ? result.data : undefined;
    },
    isOptional: false,
  };
}

export function optional<Schema extends z.ZodType>({ schema, read }: Part<Schema>): Part<z.ZodOptional<Schema>> {
  return { schema: madeOnce(() => schema().optional()), read, isOptional: true };
}

/** A map with these keys and no others. */
export function map<Of extends Parts>(parts: Of, about: About = {}): Part<z.ZodObject<SchemasOf<Of>, z.core.$strict>> {
  const entries = Object.entries(parts).map(([key, { read, isOptional }]) => ({ key, read, isOptional }));
  return {
    schema: madeOnce(() => described(z.strictObject(schemasOf(parts)), about)),
    read: (value) => {
      if (typeof value === 'string' || isList(value)) return undefined;
      const result: Record<string, unknown> = {};
      let known = 0;
      for (const { key, read, isOptional } of entries) {
        const part = Object.hasOwn(value, key) ? value[key]! : undefined;
        if (part === undefined && isOptional) continue;
        const meaning = part === undefined ? undefined : read(part);
        if (meaning === undefined) return undefined;
        result[key] = meaning;
        known++;
      }
      return known === Object.keys(value).length ? result : undefined;
    },
    isOptional: false,
  };
}

export function list<Schema extends z.ZodType>(element: Part<Schema>, about: About = {}): Part<z.ZodArray<Schema>> {
  return {
    schema: madeOnce(() => described(z.array(element.schema()), about)),
    read: (value) => {
      if (!isList(value)) return undefined;
      const result: unknown[] = [];
      for (const item of value) {
        const meaning = element.read(item);
        if (meaning === undefined) return undefined;
        result.push(meaning);
      }
      return result;
    },
    isOptional: false,
  };
}

export function schemasOf<Of extends Parts>(parts: Of): SchemasOf<Of> {
  return Object.fromEntries(Object.entries(parts).map(([key, part]) => [key, part.schema()])) as SchemasOf<Of>;
}

function described<Schema extends z.ZodType>(schema: Schema, about: About): Schema {
  return Object.keys(about).length === 0 ? schema : schema.meta({ ...about });
}

function isList(value: TextValue): value is readonly TextValue[] {
  return Array.isArray(value);
}
