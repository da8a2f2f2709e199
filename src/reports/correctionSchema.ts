import * as z from 'zod';

/** `correction` of a result in the review document, and the document of `correct --format json` (docs/schema/correction.schema.json). */
const setting = z.record(z.string(), z.number());
const side = z.enum(['compression', 'rebound']);
const speed = z.number().nonnegative();
const percent = z.number();

const answer = z.strictObject({
  setting: setting.describe('Adjusters of the group only'),
  moved: z.number().nonnegative().describe('Sum of all moves'),
  worst: z.exactOptional(
    z.strictObject({ side, velocity_mm_s: speed, drift_percent_of_tolerance: z.number().nonnegative() }),
  ),
});

const correctionShape = {
  state: z.enum(['explained', 'none of these', 'nothing', 'not possible']),
  explained_percent: percent.describe("Share of the drift's squares that all terms explain"),
  terms: z.array(
    z.strictObject({
      cause: z.string().describe('gas, friction, side scale SIDE, needle ADJUSTER or temperature'),
      value: z.number().describe('Away from the reference: more force, harder, further out than set, warmer'),
      unit: z.string(),
      U: z.number().nonnegative().describe('Expanded uncertainty, 95 %'),
      share_percent: percent,
      minor: z.exactOptional(z.literal(true).describe('Too small to be what is wrong')),
      pressure_bar: z.exactOptional(z.number().describe('Gas alone: as a change of pressure at mid-stroke')),
      pressureU_bar: z.exactOptional(z.number().nonnegative()),
    }),
  ),
  notSeparable: z.array(z.array(z.string())).describe('Causes that the points cannot tell apart, a list each'),
  conclusions: z.array(z.strictObject({ text: z.string(), next: z.exactOptional(z.string()) })),
  reasons: z.exactOptional(z.array(z.string()).describe('What could not be tried, and what was taken for granted')),
  advice: z.exactOptional(
    z.strictObject({
      setting: setting.describe('As tested'),
      groups: z.array(
        z.strictObject({
          adjusters: z.array(z.string()),
          sides: z.array(side),
          exact: z.boolean().describe('One answer; else all that the test cannot tell apart, best first'),
          worn: z.boolean().describe('No setting inside the range brings every point inside'),
          asSet: answer,
          answers: z.array(answer),
        }),
      ),
    }),
  ),
};

export const correctionSchema = z.strictObject(correctionShape);

const point = z.strictObject({
  setting,
  pass: z.exactOptional(z.int().min(2)),
  side,
  velocity_mm_s: speed,
  drift_N: z.number().describe("Load cell's force less that of the reference, gas not taken off"),
  explained_N: z.number(),
  left_N: z.number(),
});

export const correctionDocumentSchema = z
  .strictObject({
    formatVersion: z.literal(1),
    file: z.string(),
    spec: z.string(),
    serial: z.string(),
    build: z.string(),
    verdict: z.enum(['pass', 'fail', 'undecided']).describe('As judged; a correction changes none'),
    correction: correctionSchema,
    points: z.array(point),
  })
  .meta({ title: 'Damper Spec Review: what explains a drift' });

export type CorrectionEntry = z.infer<typeof correctionSchema>;
export type CorrectionDocument = z.infer<typeof correctionDocumentSchema>;
