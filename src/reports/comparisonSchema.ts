import * as z from 'zod';
import { change } from './changeSchema';

/** The document of `compare --format json`: the one source of its type and of docs/schema/comparison.schema.json. */
const setting = z.record(z.string(), z.number());
const speed = z.number().nonnegative();

const run = z.strictObject({
  label: z.string().describe('As the user named it'),
  file: z.string(),
  spec: z.string(),
  serial: z.string(),
  build: z.string(),
  date: z.exactOptional(z.string()),
  bench: z.exactOptional(z.string()),
});

const point = z.strictObject({
  setting,
  pass: z.exactOptional(z.int().min(2)),
  side: z.enum(['compression', 'rebound']),
  velocity_mm_s: speed,
  a_N: z.number().describe('Damping force of a, positive in compression'),
  b_N: z.number(),
  difference_N: z.number().describe('b less a'),
  difference_percent: z.exactOptional(z.number().describe('Of the size of a')),
  uncertainty_N: z.exactOptional(z.number().nonnegative().describe('Expanded uncertainty of the difference, 95 %')),
  direction: z.exactOptional(z.enum(['harder', 'softer']).describe('Of b against a')),
  beyondScatter: z.boolean(),
});

const row = z.strictObject({ setting, velocity_mm_s: speed });

export const comparisonDocumentSchema = z
  .strictObject({
    formatVersion: z.literal(1),
    a: run,
    b: run,
    statement: z.string().describe('What may be said of the difference, and what is not in it'),
    mean: z.strictObject({
      compression_percent: z.exactOptional(z.number()),
      rebound_percent: z.exactOptional(z.number()),
    }),
    change: z.exactOptional(change),
    points: z.array(point),
    onlyA: z.array(row),
    onlyB: z.array(row),
    basis: z.array(z.string()).describe('Ways of testing that differ or are not known on one side'),
    specChanges: z.array(z.strictObject({ key: z.string(), a: z.string(), b: z.string() })),
  })
  .meta({ title: 'Damper Spec Review: comparison of two runs' });

export type ComparisonDocument = z.infer<typeof comparisonDocumentSchema>;
