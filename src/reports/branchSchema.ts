import * as z from 'zod';
import { finding, setting, verdict, worst } from './reviewSchema';

/** The document of `changes --format json`: the one source of its type and of docs/schema/changes.schema.json. */
const speed = z.number().nonnegative();

const state = z
  .strictObject({ verdict, worst: z.exactOptional(worst), serial: z.string(), build: z.string() })
  .describe('A result at the base or now');

const point = z.strictObject({
  setting,
  side: z.enum(['compression', 'rebound']),
  velocity_mm_s: speed,
  before_N: z.number().describe('Damping force, positive in compression'),
  after_N: z.number(),
  percent_of_tolerance: z.exactOptional(
    z.number().nonnegative().describe('Size of the move over the tolerance at the base'),
  ),
  direction: z.enum(['harder', 'softer']),
});

const row = z.strictObject({ setting, velocity_mm_s: speed });

const moved = z.strictObject({
  kind: z.enum(['reference', 'tolerance', 'plan', 'bench data', 'waiver', 'mapping', 'rules', 'spec', 'result', 'log']),
  change: z.enum(['added', 'removed', 'changed', 'renamed']),
  file: z.string(),
  line: z.exactOptional(z.int().min(1)),
  name: z.exactOptional(z.string().describe('Id of the spec or bench, files of a mapping, rule and files of a waiver')),
  from: z.exactOptional(z.string().describe('Former path')),
  keys: z.exactOptional(
    z
      .array(
        z.strictObject({ key: z.string(), before: z.exactOptional(z.string()), after: z.exactOptional(z.string()) }),
      )
      .describe('Keys that differ, as the files spell them'),
  ),
  points: z.exactOptional(z.array(point).describe('Points of a reference that moved, the furthest first')),
  rowsRemoved: z.exactOptional(z.array(row)),
  rowsAdded: z.exactOptional(z.array(row)),
  basis: z.exactOptional(z.array(z.string()).describe('Ways of testing that a reference states otherwise now')),
  before: z.exactOptional(state),
  after: z.exactOptional(state),
});

const turned = z.strictObject({
  file: z.string(),
  before: verdict,
  after: verdict,
  cause: z
    .string()
    .describe('What it turned with: parts joined by "and" where it took all, by "or" where each is enough'),
  parts: z.array(z.string()),
});

export const branchDocumentSchema = z
  .strictObject({
    formatVersion: z.literal(1),
    method: z.int().min(1).describe('Version of the analysis'),
    base: z.strictObject({ commit: z.string(), words: z.string() }),
    head: z.strictObject({
      commit: z.exactOptional(z.string()),
      uncommitted: z.boolean().describe('Whether the work tree holds more than that commit'),
    }),
    verdict: verdict.describe('The worst of the results that the branch changes or turns; pass where there is none'),
    moved: z.array(moved),
    turned: z.array(turned),
    findings: z.array(finding),
    notes: z.exactOptional(z.array(z.string()).describe('What could not be looked at')),
  })
  .meta({ title: 'Damper Spec Review: what a branch changes' });

export type BranchDocument = z.infer<typeof branchDocumentSchema>;
export type MovedEntry = BranchDocument['moved'][number];
