import * as z from 'zod';

/**
 * The JSON Schema (2020-12) of a file as people write it, for editors and other tools: made from the one schema that also
 * gives types and validation. Rules that need more than one key are only in our own validation.
 */
export function jsonSchemaOf(schema: z.ZodType): Record<string, unknown> {
  return z.toJSONSchema(schema, {
    io: 'input',
    override: ({ jsonSchema }) => {
      admitWrittenScalars(jsonSchema);
    },
  });
}

/**
 * Our reader sees the text of every scalar; other YAML tools see numbers and truth values: `clicks: 18`, `build: 2`, `id: 017`.
 * A text is therefore allowed to be any of them, and a number to be a text.
 */
function admitWrittenScalars(schema: { type?: unknown; enum?: unknown; pattern?: unknown }): void {
  if (schema.type === 'string' && schema.enum === undefined) schema.type = ['string', 'number', 'boolean'];
  else if (schema.type === 'integer' || schema.type === 'number' || schema.type === 'boolean')
    schema.type = [schema.type, 'string'];
}
