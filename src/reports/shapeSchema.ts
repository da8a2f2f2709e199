import * as z from 'zod';

/** The part of the review document that tells the shape of both sides; SI where the key names no other unit. */
const U = 'Expanded uncertainty of the value before it, 95 %';
const own = z.exactOptional(z.number());
const spread = (of: string): z.ZodExactOptional<z.ZodNumber> =>
  z.exactOptional(z.number().nonnegative().describe(`${U}: ${of}`));

export const sideShape = z.strictObject({
  kind: z.enum(['linear', 'digressive', 'progressive', 'regressive', 'undecided']),
  kneeBelowFirstStep: z.exactOptional(
    z.literal(true).describe('A straight line that starts too high for one: its bend lies below the slowest step'),
  ),
  knee_mm_s: z.exactOptional(z.number().nonnegative()),
  U: spread('knee_mm_s'),
  slopeBelow_N_s_m: own,
  slopeBelowU_N_s_m: spread('slopeBelow_N_s_m'),
  slopeAbove_N_s_m: z.exactOptional(z.number().describe('Of a straight line, its only slope')),
  slopeAboveU_N_s_m: spread('slopeAbove_N_s_m'),
  forceAtZero_N: z.exactOptional(z.number().describe('Magnitude of damping force carried on to zero speed')),
  forceAtZeroU_N: spread('forceAtZero_N'),
  exponent: z.exactOptional(z.number().describe('n of F = C v^n over all speeds')),
  exponentU: spread('exponent'),
  reason: z.exactOptional(z.string().describe('Why the kind is undecided')),
});

export const resultShape = z
  .strictObject({
    setting: z.exactOptional(
      z.record(z.string(), z.number()).describe('Where it was taken: the delivery setting, or the worst one'),
    ),
    piston: z.exactOptional(z.string().describe('Kind of compression over kind of rebound, such as digressive/linear')),
    compression: z.exactOptional(sideShape),
    rebound: z.exactOptional(sideShape),
    reference: z.exactOptional(
      z
        .strictObject({ compression: z.exactOptional(sideShape), rebound: z.exactOptional(sideShape) })
        .describe('Shape of the reference at the speeds of the test'),
    ),
    ratios: z.exactOptional(
      z
        .array(
          z.strictObject({
            velocity_mm_s: z.number().nonnegative(),
            reboundOverCompression: z.number().positive(),
            U: spread('reboundOverCompression, at most'),
            reference: z.exactOptional(z.number().positive()),
          }),
        )
        .describe('Damping force of rebound over that of compression, by planned velocity'),
    ),
  })
  .describe('Shape of damping force over velocity of both sides at one setting');

export type SideShapeEntry = z.infer<typeof sideShape>;
export type ShapeEntry = z.infer<typeof resultShape>;
