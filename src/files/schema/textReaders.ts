import * as z from 'zod';

/** What a text means where it is in order, undefined where it is not. */
export type TextReader = (text: string) => unknown;

const readers = new WeakMap<z.core.$ZodType, TextReader>();

/** Says of a schema of one scalar how a text is read without the validator, which takes ten times as long; returns the schema. */
export function readBy<Schema extends z.core.$ZodType>(schema: Schema, reader: TextReader): Schema {
  readers.set(schema, reader);
  return schema;
}

/** A value in which every scalar is its text. */
export type TextValue = string | readonly TextValue[] | { readonly [key: string]: TextValue };

/** The same as the validator makes of a value that is in order, undefined for every other. */
export type ValueReader = (value: TextValue) => unknown;

/**
 * Builds a reader from a schema: of scalars that say how they are read, strict maps and lists. Whatever else a schema is made of,
 * the validator reads.
 */
export function valueReader(schema: z.core.$ZodType): ValueReader {
  if (schema instanceof z.ZodOptional) return valueReader(schema.unwrap());
  const text = readers.get(schema);
  if (text !== undefined) return (value) => (typeof value === 'string' ? text(value) : undefined);
  const plain = (schema._zod.def.checks ?? []).length === 0;
  if (plain && schema instanceof z.ZodObject && schema.def.catchall instanceof z.ZodNever)
    return mapReader(schema.shape);
  if (plain && schema instanceof z.ZodArray) return listReader(schema.element);
  return (value) => {
    const result = z.safeParse(schema, value);
    return result.success ? result.data : undefined;
  };
}

function mapReader(shape: Readonly<Record<string, z.core.$ZodType>>): ValueReader {
  const parts = Object.entries(shape).map(([key, part]) => ({
    key,
    read: valueReader(part),
    required: !(part instanceof z.ZodOptional),
  }));
  return (value) => {
    if (typeof value === 'string' || isList(value)) return undefined;
    const result: Record<string, unknown> = {};
    let known = 0;
    for (const { key, read, required } of parts) {
      const part = Object.hasOwn(value, key) ? value[key]! : undefined;
      if (part === undefined && !required) continue;
      const meaning = part === undefined ? undefined : read(part);
      if (meaning === undefined) return undefined;
      result[key] = meaning;
      known++;
    }
    return known === Object.keys(value).length ? result : undefined;
  };
}

function listReader(element: z.core.$ZodType): ValueReader {
  const read = valueReader(element);
  return (value) => {
    if (!isList(value)) return undefined;
    const result: unknown[] = [];
    for (const item of value) {
      const meaning = read(item);
      if (meaning === undefined) return undefined;
      result.push(meaning);
    }
    return result;
  };
}

function isList(value: TextValue): value is readonly TextValue[] {
  return Array.isArray(value);
}
