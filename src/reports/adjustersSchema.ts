import * as z from 'zod';

/** `adjusters` of a result: one entry a sweep. Own file of the review document's schema. */
const speed = z.number().nonnegative();
const side = z.enum(['compression', 'rebound']);
const setting = z.record(z.string(), z.number());

const step = z.strictObject({
  from: z.number(),
  to: z.number(),
  ratio: z.number().describe("This step over the median one (law as-reference: over the reference's step), per unit"),
  U: z.exactOptional(z.number().nonnegative().describe('Expanded uncertainty of the ratio, k = 2')),
  state: z.enum(['even', 'uneven', 'wrong way', 'outside limits', 'dead', 'not judged']),
  energyPerUnit_J: z.exactOptional(z.number().describe('Energy of a cycle gained from `from` to `to`, per unit')),
});

export const adjusterEntry = z.strictObject({
  id: z.string(),
  unit: z.string(),
  countsFrom: z.enum(['closed', 'open']),
  held: setting.describe('Where the other adjusters stood'),
  side: z.enum(['compression', 'rebound', 'both']).describe('Side whose steps are compared'),
  law: z.enum(['equal', 'equal-ratio', 'as-reference']),
  judging: z
    .enum([
      'judged',
      'not repeated',
      'no uncertainty',
      'steps too small',
      'no effect',
      'not closed',
      'no reference sweep',
    ])
    .describe('Whether the significance of steps is judged, or why it is not'),
  limits_percent: z.exactOptional(z.tuple([z.number(), z.number()])),
  medianStep_percent: z.exactOptional(z.number().describe('Median step a unit, at the speed of largest effect')),
  medianStep_N: z.exactOptional(z.number().describe('The same where the law is equal')),
  steps: z.array(step),
  energyAt_mm_s: z.exactOptional(speed.describe('Speed that energies of steps are read at')),
  wrongWay: z.exactOptional(z.literal(true).describe('Opening hardens over the whole sweep')),
  deadFrom: z.exactOptional(z.number()),
  reach_mm_s: z.exactOptional(z.tuple([speed, speed])),
  halfEffect_mm_s: z.exactOptional(speed),
  acts: z.exactOptional(z.enum(['low speeds', 'high speeds', 'all speeds'])),
  band_mm_s: z.exactOptional(z.tuple([speed, speed]).describe('Where the spec wants it to act')),
  effects: z
    .array(
      z.strictObject({
        side,
        velocity_mm_s: speed,
        perUnit_N: z.number().describe('Damping lost a unit opened'),
        U_N: z.exactOptional(z.number().nonnegative()),
      }),
    )
    .describe('What a unit does at each speed'),
  crossTalk_percent: z.exactOptional(z.number().nonnegative()),
  crossLimit_percent: z.exactOptional(z.number().nonnegative()),
  closed: z.exactOptional(z.boolean()),
  closure: z.exactOptional(
    z.strictObject({ position: z.number(), side, difference_percent: z.number(), U_percent: z.number() }),
  ),
});

export const adjustersTogether = z
  .strictObject({ condition: z.exactOptional(z.number().min(1)), notSeparable: z.array(z.string()) })
  .describe(
    'Whether the points can tell the adjusters apart: condition number of the click matrix, absent where infinite',
  );

export type AdjusterEntry = z.infer<typeof adjusterEntry>;
