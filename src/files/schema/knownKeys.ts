import * as z from 'zod';

/** The schema at a path, through optional parts, conversions, lists, records and unions; undefined where there is none. */
export function schemaAt(schema: z.core.$ZodType, path: readonly PropertyKey[]): z.core.$ZodType | undefined {
  const plain = withoutWrapping(schema);
  const [key, ...rest] = path;
  if (key === undefined) return plain;
  if (plain instanceof z.ZodUnion) {
    for (const option of plain.options) {
      const found = schemaAt(option, path);
      if (found !== undefined) return found;
    }
    return undefined;
  }
  const next = stepInto(plain, key);
  return next === undefined ? undefined : schemaAt(next, rest);
}

/** The keys that may stand at a path; empty where anything may, or nothing. */
export function knownKeys(schema: z.core.$ZodType, path: readonly PropertyKey[]): readonly string[] {
  const found = schemaAt(schema, path);
  if (found instanceof z.ZodUnion) return found.options.flatMap((option) => knownKeys(option, []));
  return found instanceof z.ZodObject ? Object.keys(found.shape) : [];
}

function stepInto(schema: z.core.$ZodType, key: PropertyKey): z.core.$ZodType | undefined {
  if (schema instanceof z.ZodObject)
    return Object.hasOwn(schema.shape, key) ? (schema.shape[key as string] as z.core.$ZodType) : undefined;
  if (schema instanceof z.ZodArray) return schema.element;
  if (schema instanceof z.ZodRecord) return schema.valueType;
  return undefined;
}

function withoutWrapping(schema: z.core.$ZodType): z.core.$ZodType {
  if (schema instanceof z.ZodOptional) return withoutWrapping(schema.unwrap());
  if (schema instanceof z.ZodPipe) return withoutWrapping(schema.in);
  return schema;
}
