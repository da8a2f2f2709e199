import * as z from 'zod';
import {
  formatVersion,
  identity,
  moment,
  oneOf,
  pathInside,
  positive,
  quantity,
  sha256,
  text,
  whole,
  yesNo,
} from './scalars';

/* Preambles of reference curves and results, and the preamble values of a mapping. Those of test logs are read in src/files/log. */

/** Which of several tests of one build it is. */
export const repeats = {
  run: whole('Number of the run among repeats.', 1, 9999).optional(),
  sameMounting: yesNo('Whether the damper stayed mounted since the run before.').optional(),
  retest: z
    .strictObject({
      of: moment('Day of the test that is repeated.').optional(),
      reason: text('Why.', 500).optional(),
    })
    .optional(),
};

/** What two curves must share before they are compared. */
export const basis = {
  drive: oneOf('How the bench drives the damper; triangle is constant speed between turning points.', [
    'sine',
    'triangle',
    'other',
  ]).optional(),
  stroke: positive('length', 'Travel of the bench from turning point to turning point.').optional(),
  midPosition: quantity('length', 'Middle of the stroke, from full extension.').optional(),
  forceZero: oneOf('Where the load cell was zeroed.', ['unloaded', 'mounted', 'unknown']).optional(),
  temperatureAt: oneOf('Where the temperature is taken.', ['body', 'reservoir', 'oil', 'ambient']).optional(),
};

const gas = z
  .strictObject({
    force: quantity('force', 'Constant force that is taken off to give damping force.'),
    temperature: quantity('temperature', 'Temperature at which it stands.', { above: 0 }).optional(),
    source: oneOf('Where it is from; stated if absent.', ['fit', 'static', 'stated', 'constant']).optional(),
  })
  .meta({ description: 'Constant force for rows without one of their own.' });

const hashedPath = z.strictObject({
  path: pathInside('Path from the root of the repository.', ''),
  sha256: sha256('Digest of the file.'),
});

/** One path or a list of them. */
const paths = z.union([
  pathInside('A path from the root.', '').transform((path) => [path]),
  z.array(pathInside('A path from the root.', '')),
]);

const common = {
  formatVersion,
  spec: identity('Id of the spec.'),
  gas: gas.optional(),
  ...basis,
};

export const referencePreamble = z
  .strictObject({
    ...common,
    adopted: z
      .strictObject({ from: paths, on: moment('Day of adoption.').optional(), reason: text('Why.', 500).optional() })
      .meta({ description: 'The results that the curves were taken from.' })
      .optional(),
  })
  .meta({ title: 'Reference curves' });

export const resultPreamble = z
  .strictObject({
    ...common,
    serial: identity('Serial of the damper.'),
    build: identity('Assembly state of the damper.'),
    date: moment('Day, or day and time, of the test.').optional(),
    bench: identity('Id of the bench.').optional(),
    ...repeats,
    method: whole('Version of the analysis.', 1, 9999).optional(),
    source: z.array(hashedPath).meta({ description: 'The logs behind the result.' }).optional(),
    inputs: z
      .strictObject({
        spec: sha256('Digest of the parts of the spec that were used.').optional(),
        mapping: sha256('Digest of the mapping.').optional(),
        bench: sha256('Digest of the bench data.').optional(),
      })
      .optional(),
    reference: hashedPath.optional(),
    benchIncluded: yesNo("Whether the bench's uncertainty is in the U columns.").optional(),
  })
  .meta({ title: 'Result' });
