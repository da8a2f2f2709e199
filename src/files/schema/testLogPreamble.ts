import * as z from 'zod';
import { unknownKeyRemedy } from '../nearest';
import { madeOnce } from './madeOnce';
import { schemasOf } from './parts';
import { basis, repeats } from './preambleSchema';
import { addFault } from './faults';
import { decimal, formatVersion, identity, moment, oneOf } from './scalars';

/** The preamble of a test log; every key may be absent. */
export const testLogPreamble = madeOnce(() => {
  const direction = oneOf('Which way the channel counts up.', ['compression', 'rebound']).optional();
  return z
    .strictObject({
      formatVersion: formatVersion().optional(),
      spec: identity('Id of the spec.').optional(),
      serial: identity('Serial of the damper.').optional(),
      build: identity('Assembly state of the damper.').optional(),
      date: moment('Day, or day and time, of the test.').optional(),
      bench: identity('Id of the bench.').optional(),
      setting: z
        .record(z.string(), decimal('Position of the adjuster, in its own unit.'))
        .meta({ description: 'Positions of the adjusters, where no columns carry them.' })
        .optional(),
      kind: oneOf('What the log records; staircase if absent.', [
        'staircase',
        'sweep',
        'endurance',
        'static',
        'replay',
      ]).optional(),
      ...schemasOf(repeats),
      order: oneOf('Order of the velocities.', ['rising', 'falling']).optional(),
      ...schemasOf(basis),
      positive: z
        .strictObject({ displacement: direction, velocity: direction, force: direction })
        .meta({ description: 'Channels whose sign is the other way round.' })
        .optional(),
    })
    .meta({ title: 'Test log' });
});

/** Every key that the preamble of a test log may have. */
export function testLogKeys(): readonly string[] {
  return Object.keys(testLogPreamble().shape);
}

/** Values for the preamble keys of logs, as a mapping gives them: kept as written, checked where the log is read. */
export const preambleValues = madeOnce(() =>
  z
    .record(z.string(), z.unknown())
    .meta({ description: 'Values for preamble keys that the logs do not have.' })
    .superRefine((value, context) => {
      for (const key of Object.keys(value)) {
        if (Object.hasOwn(testLogPreamble().shape, key)) continue;
        addFault(
          context,
          `'${key}' is no key of a test log's preamble.`,
          { remedy: unknownKeyRemedy(key, testLogKeys()) },
          [key],
        );
      }
      if (typeof value['setting'] === 'object') checkSetting(value['setting'], context);
    }),
);

function checkSetting(setting: unknown, context: z.RefinementCtx): void {
  const result = z.record(z.string(), decimal('A position.')).safeParse(setting);
  if (result.success) return;
  for (const { message, path } of result.error.issues)
    addFault(context, message, { remedy: 'Write it like {LSC: 8, R: 6}.' }, ['setting', ...path]);
}
