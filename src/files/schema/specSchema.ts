import * as z from 'zod';
import { unknownKeyRemedy } from '../nearest';
import { madeOnce } from './madeOnce';
import { rulesSchema } from './rulesSchema';
import { addFault } from './faults';
import {
  decimal,
  formatVersion,
  identity,
  notNegative,
  oneOf,
  positive,
  quantity,
  text,
  whole,
  yesNo,
} from './scalars';

/*
 * The spec: one schema for types, validation, completion and JSON Schema. SI out; conversions that need more than one
 * key are in readSpec.ts.
 */

const SHAPES = ['linear', 'digressive', 'progressive', 'regressive'] as const;
const SIDE_WORDS = ['compression', 'rebound', 'both'] as const;

const rodByParts = madeOnce(() =>
  z.strictObject({
    diameter: positive('length', 'Diameter of the rod.').optional(),
    kind: oneOf('Whether the rod leaves the body on one side or on both.', ['single', 'through']).optional(),
  }),
);

/** `18 mm`, `through`, or `{ diameter: 18 mm, kind: through }`. */
const rod = madeOnce(() =>
  z.union([
    z.enum(['single', 'through']).transform((kind) => ({ kind, diameter: undefined })),
    positive('length', 'Diameter of the rod.').transform((diameter) => ({ diameter, kind: undefined })),
    rodByParts(),
  ]),
);

const hardware = madeOnce(() =>
  z
    .strictObject({
      piston: positive('length', 'Bore of the body, the diameter of the piston.').optional(),
      rod: rod().optional(),
      gasPressure: positive('pressure', 'Charge, gauge, fully extended at 20 Cel.').optional(),
      gasVolume: positive('volume', 'Volume of the gas, fully extended.').optional(),
      stroke: positive('length', 'Full travel of the damper.').optional(),
      valving: z
        .strictObject({
          compression: oneOf('Shape that the compression side is built to have.', SHAPES).optional(),
          rebound: oneOf('Shape that the rebound side is built to have.', SHAPES).optional(),
        })
        .meta({ description: 'Intended shape of force over velocity.' })
        .optional(),
      gas: oneOf('none: the damper holds no gas under pressure.', ['none']).optional(),
      baseValve: yesNo('Whether a base or reservoir valve supports the compression side.').optional(),
    })
    .meta({ description: 'What the damper is made of.' }),
);

const band = madeOnce(() =>
  z
    .array(positive('velocity', 'A velocity.'))
    .meta({ description: 'Velocities between which the adjuster is meant to act.' })
    .transform((values, context): readonly [number, number] => {
      const [from, to] = values;
      if (values.length === 2 && from! < to!) return [from!, to!];
      addFault(context, 'A band is two velocities, the lower one first.', {
        remedy: 'Write it like [50 mm/s, 400 mm/s].',
      });
      return z.NEVER;
    }),
);

const adjuster = madeOnce(() =>
  z
    .strictObject({
      clicks: decimal('Highest position, counted from 0.').optional(),
      positions: z
        .array(decimal('A position.'))
        .meta({ description: 'The positions that exist, in place of clicks.' })
        .optional(),
      unit: text('Unit of a position: click, turn, or a word of your own.', 20).optional(),
      countsFrom: oneOf('Which stop counts as 0.', ['closed', 'open']).optional(),
      acts: z
        .strictObject({
          side: oneOf('Side on which the adjuster is meant to act.', SIDE_WORDS),
          band: band().optional(),
          crossLimit: notNegative('fraction', 'How much it may move the other side, over its own effect.').optional(),
        })
        .meta({ description: 'What the adjuster is meant to do.' })
        .optional(),
    })
    .meta({ description: 'An adjuster: its positions and what it acts on.' })
    .superRefine((value, context) => {
      const counted = value.clicks !== undefined;
      if (counted === (value.positions !== undefined)) {
        addFault(context, 'An adjuster has either clicks or positions.', {
          remedy: 'Write clicks: 18 for positions 0 to 18, or list the positions.',
        });
      } else if (counted && (value.clicks! <= 0 || value.clicks! > 1000)) {
        addFault(context, `${value.clicks!} is no highest position.`, { remedy: 'Write a number from 1 to 1000.' }, [
          'clicks',
        ]);
      } else if (counted && (value.unit ?? 'click') === 'click' && !Number.isInteger(value.clicks)) {
        addFault(
          context,
          `${value.clicks!} is not a whole number of clicks.`,
          { remedy: 'Write a whole number, or unit: turn.' },
          ['clicks'],
        );
      } else if (!counted && new Set(value.positions).size < 2) {
        addFault(context, 'An adjuster has at least two positions.', { remedy: 'List every position once.' }, [
          'positions',
        ]);
      }
    }),
);

/** Ids become column headers and key paths, so they are words. */
export const ADJUSTER_ID = /^[\p{L}_][\p{L}\p{N}_-]{0,39}$/u;

const adjusters = madeOnce(() =>
  z
    .record(z.string(), adjuster())
    .meta({
      description: 'Adjusters by id. A position is counted from the closed stop unless countsFrom says otherwise.',
    })
    .superRefine((value, context) => {
      for (const id of Object.keys(value)) {
        if (ADJUSTER_ID.test(id)) continue;
        addFault(
          context,
          `'${id}' cannot be the id of an adjuster.`,
          { remedy: 'Use letters, digits, - and _, beginning with a letter.' },
          [id],
        );
      }
    }),
);

const velocityRange = madeOnce(() =>
  z.strictObject({
    from: positive('velocity', 'First velocity.'),
    to: positive('velocity', 'Last velocity.'),
    step: positive('velocity', 'Distance between velocities.'),
  }),
);

const testSchema = madeOnce(() =>
  z
    .strictObject({
      velocities: z
        .array(z.union([positive('velocity', 'A peak velocity.'), velocityRange()]))
        .meta({ description: 'Peak velocities of the test, one by one or as ranges.' })
        .optional(),
      stroke: positive('length', 'Travel of the bench from turning point to turning point.').optional(),
      cycles: whole('Cycles at each velocity.', 1, 1000).optional(),
      warmup: z
        .strictObject({
          velocity: positive('velocity', 'Peak velocity of the warm-up.'),
          cycles: whole('Cycles of the warm-up.', 1, 100_000),
        })
        .meta({ description: 'What is run before the test.' })
        .optional(),
      temperature: z
        .array(quantity('temperature', 'A temperature.', { above: 0 }))
        .meta({ description: 'Lowest and highest temperature at which a step counts.' })
        .transform((values, context): readonly [number, number] => {
          if (values.length === 2 && values[0]! < values[1]!) return [values[0]!, values[1]!];
          addFault(context, 'The temperature is two values, the lower one first.', {
            remedy: 'Write it like [30 Cel, 40 Cel].',
          });
          return z.NEVER;
        })
        .optional(),
    })
    .meta({ description: 'The test plan.' }),
);

const bandKeys = madeOnce(() => ({
  relative: notNegative('fraction', 'Share of the damping force of the reference.').optional(),
  absolute: notNegative('force', 'Force; the larger of the two applies.').optional(),
}));

function needOne(
  value: { relative?: number | undefined; absolute?: number | undefined },
  context: z.RefinementCtx,
): void {
  if (value.relative !== undefined || value.absolute !== undefined) return;
  addFault(context, 'The tolerance has neither a relative nor an absolute part.', {
    remedy: 'Write { relative: 5 %, absolute: 20 N }, or one of the two.',
  });
}

const toleranceBand = madeOnce(() => z.strictObject(bandKeys()).superRefine(needOne));

/** One band for both directions of drift, or one each for softer and harder. */
const sideTolerance = madeOnce(() =>
  z
    .strictObject({ ...bandKeys(), softer: toleranceBand().optional(), harder: toleranceBand().optional() })
    .meta({ description: 'How far the damping force may be from the reference.' })
    .transform((value, context) => {
      const { softer, harder, ...flat } = value;
      if (softer === undefined && harder === undefined) {
        needOne(flat, context);
        return { softer: flat, harder: flat };
      }
      if (flat.relative !== undefined || flat.absolute !== undefined) {
        addFault(context, 'relative and absolute stand beside softer and harder.', {
          remedy: 'Write them inside softer and harder, or write neither of these.',
        });
      }
      if (softer !== undefined && harder !== undefined) return { softer, harder };
      const missing = softer === undefined ? 'softer' : 'harder';
      addFault(context, `The tolerance for '${missing}' is missing.`, {
        remedy: `Write ${missing} too, or one band for both without softer and harder.`,
      });
      return z.NEVER;
    }),
);

const tolerance = madeOnce(() =>
  z
    .strictObject({
      compression: sideTolerance().optional(),
      rebound: sideTolerance().optional(),
      gasForce: notNegative('force', 'How far the gas force may be from the expected one.').optional(),
      friction: notNegative('force', 'Most friction.').optional(),
      pair: toleranceBand().meta({ description: 'How far two dampers of a pair may be apart.' }).optional(),
      clickStep: z
        .strictObject({
          least: notNegative('fraction', 'Smallest step of one click, over the median step.').optional(),
          most: positive('fraction', 'Largest step of one click, over the median step.').optional(),
          law: oneOf('What an even row of clicks is.', ['equal', 'equal-ratio', 'as-reference']).optional(),
        })
        .meta({ description: 'How even the clicks of an adjuster must be.' })
        .optional(),
      fade: notNegative('fraction', 'Most loss of force over an endurance run.').optional(),
    })
    .meta({ description: 'What may differ from the reference.' }),
);

export const specSchema = madeOnce(() =>
  z
    .strictObject({
      formatVersion: formatVersion(),
      id: identity('Name by which logs, results and references call this spec.'),
      title: text('What people call it.').optional(),
      formerly: z
        .array(identity('An earlier id.'))
        .meta({ description: 'Ids that older logs and results may still bear.' })
        .optional(),
      hardware: hardware().optional(),
      adjusters: adjusters().optional(),
      settings: z
        .record(z.string(), z.record(z.string(), decimal('A position.')))
        .meta({ description: 'Settings that have a name, such as the one at delivery.' })
        .optional(),
      test: testSchema().optional(),
      tolerance: tolerance().optional(),
      limits: z
        .strictObject({
          maxTemperature: quantity('temperature', 'Highest temperature.', { above: 0 }).optional(),
          maxForce: positive('force', 'Largest force of either sign.').optional(),
          maxVelocity: positive('velocity', 'Highest velocity.').optional(),
        })
        .meta({ description: 'What must not be exceeded on the bench.' })
        .optional(),
      purpose: oneOf('release: an undecided result does not ship. scrutineering: only a proven fail excludes.', [
        'release',
        'scrutineering',
      ]).optional(),
      role: oneOf('checkStandard: a damper that is kept to watch the bench.', ['product', 'checkStandard']).optional(),
      normalise: yesNo('Whether damping is corrected for temperature before it is judged.').optional(),
      reference: text('Path of the reference curves, seen from this file.', 1024).optional(),
      rules: rulesSchema().optional(),
    })
    .meta({ title: 'Damper spec', description: 'What a damper must be.' })
    .superRefine((spec, context) => {
      for (const [name, setting] of Object.entries(spec.settings ?? {})) {
        for (const [id, position] of Object.entries(setting))
          checkPosition(spec.adjusters ?? {}, id, position, ['settings', name, id], context);
      }
    }),
);

type AdjusterInput = z.output<ReturnType<typeof adjuster>>;

/** Refuses a position of an adjuster that the spec does not have, or one out of its range. */
function checkPosition(
  known: Readonly<Record<string, AdjusterInput>>,
  id: string,
  position: number,
  path: PropertyKey[],
  context: z.RefinementCtx,
): void {
  const found = Object.hasOwn(known, id) ? known[id] : undefined;
  if (found === undefined) {
    addFault(context, `The spec has no adjuster '${id}'.`, { remedy: unknownKeyRemedy(id, Object.keys(known)) }, path);
  } else if (
    found.positions !== undefined
      ? !found.positions.includes(position)
      : position < 0 || position > (found.clicks ?? Infinity)
  ) {
    const range = found.positions === undefined ? `0 to ${found.clicks ?? 0}` : found.positions.join(', ');
    addFault(context, `'${id}' has no position ${position}.`, { remedy: `Its positions are ${range}.` }, path);
  }
}
