import * as z from 'zod';

/** What repeats show, as both documents write it. */
const repeats = {
  degreesOfFreedom: z.number().positive().describe('Runs less dampers'),
  runs: z.int().min(2).describe('Complete runs without a rebuild that the scatter comes from'),
  dampers: z.int().min(1),
  from: z.enum(['spec', 'check standard']).describe('Whose repeats they are'),
};

export const runToRun = z
  .strictObject({
    compression_percent: z.exactOptional(
      z.number().nonnegative().describe('Standard deviation of one run, of damping force'),
    ),
    rebound_percent: z.exactOptional(z.number().nonnegative()),
    ...repeats,
  })
  .describe(
    'Scatter of complete runs with remounting; it is in the uncertainty of every point. Absent where no repeats are committed',
  );

export const change = z
  .strictObject({
    since: z.exactOptional(z.string().describe('The result or log of the build before')),
    significant: z.boolean().describe("Hotelling's T2 of the means of both sides at 5 %"),
    p: z.number().min(0).max(1),
    tSquared: z.number().nonnegative(),
    compression_harder_percent: z.exactOptional(z.number().describe('Mean over the points, positive where harder')),
    rebound_harder_percent: z.exactOptional(z.number()),
    power: z
      .array(z.strictObject({ change_percent: z.number().positive(), probability_percent: z.number().min(0).max(100) }))
      .describe('In how many cases this test finds such a change of both sides, estimated from the same repeats'),
    bench: z
      .enum(['same', 'other bench', 'calibrated between', 'not stated'])
      .describe('Only on one bench in one state of calibration can a significant difference be put down to the damper'),
    ...repeats,
  })
  .describe('The difference against runs that were repeated without a rebuild; absent where there are none');

export type RunToRunEntry = z.infer<typeof runToRun>;
export type ChangeEntry = z.infer<typeof change>;
