import * as z from 'zod';
import { list, map, optional, validated } from './parts';
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
} from './scalarParts';

/* Preambles of reference curves and results, and the preamble values of a mapping. Those of test logs are read in src/files/log. */

/** Which of several tests of one build it is. */
export const repeats = {
  run: optional(whole('Number of the run among repeats.', 1, 9999)),
  sameMounting: optional(yesNo('Whether the damper stayed mounted since the run before.')),
  retest: optional(
    map({
      of: optional(moment('Day of the test that is repeated.')),
      reason: optional(text('Why.', 500)),
    }),
  ),
};

/** What two curves must share before they are compared. */
export const basis = {
  drive: optional(
    oneOf('How the bench drives the damper; triangle is constant speed between turning points.', [
      'sine',
      'triangle',
      'other',
    ]),
  ),
  stroke: optional(positive('length', 'Travel of the bench from turning point to turning point.')),
  midPosition: optional(quantity('length', 'Middle of the stroke, from full extension.')),
  forceZero: optional(oneOf('Where the load cell was zeroed.', ['unloaded', 'mounted', 'unknown'])),
  temperatureAt: optional(oneOf('Where the temperature is taken.', ['body', 'reservoir', 'oil', 'ambient'])),
};

const gas = map(
  {
    force: quantity('force', 'Constant force that is taken off to give damping force.'),
    temperature: optional(quantity('temperature', 'Temperature at which it stands.', { above: 0 })),
    source: optional(oneOf('Where it is from; stated if absent.', ['fit', 'static', 'stated', 'constant'])),
  },
  { description: 'Constant force for rows without one of their own.' },
);

const hashedPath = map({
  path: pathInside('Path from the root of the repository.', ''),
  sha256: sha256('Digest of the file.'),
});

/** One path or a list of them. */
const paths = validated(() => {
  const path = pathInside('A path from the root.', '').schema();
  return z.union([path.transform((one) => [one]), z.array(path)]);
});

const common = {
  formatVersion,
  spec: identity('Id of the spec.'),
  gas: optional(gas),
  ...basis,
};

export const referenceKeys = {
  ...common,
  adopted: optional(
    map(
      { from: paths, on: optional(moment('Day of adoption.')), reason: optional(text('Why.', 500)) },
      { description: 'The results that the curves were taken from.' },
    ),
  ),
};
export const referencePreamble = map(referenceKeys, { title: 'Reference curves' }).schema;

export const resultKeys = {
  ...common,
  serial: identity('Serial of the damper.'),
  build: identity('Assembly state of the damper.'),
  date: optional(moment('Day, or day and time, of the test.')),
  bench: optional(identity('Id of the bench.')),
  ...repeats,
  method: optional(whole('Version of the analysis.', 1, 9999)),
  source: optional(list(hashedPath, { description: 'The logs behind the result.' })),
  inputs: optional(
    map({
      spec: optional(sha256('Digest of the parts of the spec that were used.')),
      mapping: optional(sha256('Digest of the mapping.')),
      bench: optional(sha256('Digest of the bench data.')),
    }),
  ),
  reference: optional(hashedPath),
  benchIncluded: optional(yesNo("Whether the bench's uncertainty is in the U columns.")),
};
export const resultPreamble = map(resultKeys, { title: 'Result' }).schema;
