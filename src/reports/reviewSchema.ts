import * as z from 'zod';
import { change, runToRun } from './changeSchema';
import { resultShape } from './shapeSchema';
import { adjusterEntry, adjustersTogether } from './adjustersSchema';
import { correctionSchema } from './correctionSchema';

/**
 * The document of `check --format json`: the one source of its type and of docs/schema/review.schema.json. Keys that a
 * result cannot support are absent, never null or zero. Only types and tests load this file; writing a document does not.
 */
const force = z.number();
const speed = z.number().nonnegative();
const side = z.enum(['compression', 'rebound']);
export const setting = z
  .record(z.string(), z.number())
  .describe('Position of each adjuster in its own unit, clicks out from fully closed unless the spec says otherwise');
const line = z.int().min(1);
export const verdict = z.enum(['pass', 'fail', 'undecided']);

const point = z.strictObject({
  setting,
  pass: z.exactOptional(z.int().min(2).describe('Set where this setting and velocity were run before in the same run')),
  side,
  velocity_mm_s: speed.describe('Planned velocity where one is near, else the achieved one'),
  achieved_mm_s: z.exactOptional(speed),
  cycles: z.exactOptional(z.int().min(1)),
  force_N: force.describe("The load cell's force, positive in compression"),
  damping_N: z.exactOptional(force.describe('Force less the constant (gas) force')),
  uncertainty_N: z.exactOptional(z.number().nonnegative().describe('Expanded uncertainty of the damping force, 95 %')),
  driftUncertainty_N: z.exactOptional(
    z.number().nonnegative().describe('That of the drift, where it differs: it is what the verdict is reached with'),
  ),
  coverageFactor: z.exactOptional(z.number().positive()),
  degreesOfFreedom: z.exactOptional(z.number().positive().describe('Absent where it is infinite')),
  normalised_N: z.exactOptional(
    force.describe(
      "Damping at the reference's temperature, where the spec says `normalise: true`: what the drift is of",
    ),
  ),
  reference_N: z.exactOptional(force.describe('Damping force of the reference at the achieved velocity')),
  tolerance_N: z.exactOptional(z.number().nonnegative().describe('Tolerance of the side that the drift is on')),
  drift_N: z.exactOptional(force.describe('Damping less reference: positive where the force is more positive')),
  drift_percent: z.exactOptional(z.number()),
  direction: z.exactOptional(z.enum(['harder', 'softer'])),
  temperature_Cel: z.exactOptional(z.number()),
  verdict,
  reason: z.exactOptional(z.string().describe('Why an undecided point is undecided')),
});

export const worst = z.strictObject({
  side,
  velocity_mm_s: speed,
  setting,
  drift_percent_of_tolerance: z.number().nonnegative(),
});

const loop = z.strictObject({
  setting,
  pass: z.exactOptional(z.int().min(2)),
  velocity_mm_s: speed,
  frequency_Hz: z.exactOptional(z.number().positive()),
  amplitude_mm: z.exactOptional(z.number().positive()),
  energy_J: z.exactOptional(z.number()),
  equivalentDamping_N_s_m: z.exactOptional(z.number()),
  meanPower_W: z.exactOptional(z.number()),
  symmetryCompression_percent: z.exactOptional(z.number().nonnegative()),
  symmetryRebound_percent: z.exactOptional(z.number().nonnegative()),
});

const loopVoid = z.strictObject({ setting, side, length_mm: z.number().positive(), lagCorrected: z.boolean() });

const gas = z.union([
  z.strictObject({
    force_N: force,
    expected_N: z.exactOptional(force),
    rate_N_mm: z.exactOptional(z.number()),
    source: z.enum(['fit', 'static', 'stated']),
  }),
  z.strictObject({
    constantForce_N: force,
    reason: z.string().describe('Why it cannot be told what the constant force is made of'),
  }),
]);

const result = z.strictObject({
  file: z.string(),
  log: z.exactOptional(z.string().describe('The test log behind it, where `file` is the result')),
  logs: z.exactOptional(z.array(z.string()).describe('All test logs behind it, where there are several')),
  spec: z.string(),
  serial: z.string(),
  build: z.string(),
  attempt: z.exactOptional(z.int().min(2).describe('Which test of this build it is, from the second on')),
  verdict,
  reasons: z.exactOptional(z.array(z.string()).describe('Why the whole is undecided or failed where no point says so')),
  worst: z.exactOptional(worst),
  benchUncertaintyIncluded: z.boolean(),
  normalisation: z.exactOptional(
    z
      .strictObject({
        loss_percent_per_K: z.number(),
        U_percent_per_K: z.number().nonnegative(),
        from: z.array(z.string()),
      })
      .describe('Damping lost a kelvin, from endurance logs of the spec'),
  ),
  runToRun: z.exactOptional(runToRun),
  change: z.exactOptional(change),
  points: z.array(point),
  missing: z.exactOptional(
    z.array(z.strictObject({ setting, velocity_mm_s: speed })).describe('Planned points that were not measured'),
  ),
  loops: z.exactOptional(z.array(loop)),
  voids: z.exactOptional(z.array(loopVoid)),
  gas: z.exactOptional(gas),
  friction_N: z.exactOptional(force),
  adjusters: z.exactOptional(z.array(adjusterEntry)),
  adjustersTogether: z.exactOptional(adjustersTogether),
  shape: z.exactOptional(resultShape),
  correction: z.exactOptional(correctionSchema),
});

export const finding = z.strictObject({
  rule: z.string(),
  level: z.enum(['error', 'warning', 'note']),
  file: z.string(),
  line,
  message: z.string(),
  next: z.exactOptional(z.string().describe('What to check or do next')),
  evidence: z.record(z.string(), z.union([z.number(), z.string()])).describe('Numbers with their unit in the key'),
  waived: z.exactOptional(
    z
      .strictObject({ reason: z.string(), by: z.string(), until: z.string() })
      .describe('Covered by a waiver: listed, but not counted'),
  ),
});

export const reviewDocumentSchema = z
  .strictObject({
    formatVersion: z.literal(1),
    method: z.int().min(1).describe('Version of the analysis'),
    decisionRule: z.string().describe('How a point is judged from its drift d, uncertainty U and tolerance T'),
    verdict,
    results: z.array(result),
    findings: z.array(finding),
  })
  .meta({ title: 'Damper Spec Review: result of a check' });

export type ReviewDocument = z.infer<typeof reviewDocumentSchema>;
export type ResultEntry = z.infer<typeof result>;
export type PointEntry = z.infer<typeof point>;
export type LoopEntry = z.infer<typeof loop>;
export type FindingEntry = z.infer<typeof finding>;
export type GasEntry = z.infer<typeof gas>;
