import * as z from 'zod';
import { nearestKey, unknownKeyRemedy } from '../nearest';
import type { LogMapping, MappedColumn } from '../reviewConfig';
import { madeOnce } from './madeOnce';
import { preambleValues } from './testLogPreamble';
import { ruleId, rulesSchema } from './rulesSchema';
import { addFault } from './faults';
import { day, formatVersion, glob, notNegative, oneOf, positive, text, whole } from './scalars';
import { ADJUSTER_ID } from './specSchema';
import { DIMENSION_WORDS } from '../../quantities/unitTable';
import { nearestUnit, parseUnit, unitsOf } from '../../quantities/unit';
import type { Dimension } from '../../quantities/unit';

/* damper-review.yaml at the root of a repository. */

/** Measured channels of a log and what they measure. */
export const CHANNEL_DIMENSIONS = {
  time: 'time',
  displacement: 'length',
  velocity: 'velocity',
  force: 'force',
  temperature: 'temperature',
} as const satisfies Readonly<Record<string, Dimension>>;
type Channel = keyof typeof CHANNEL_DIMENSIONS;
const CHANNELS = Object.keys(CHANNEL_DIMENSIONS) as Channel[];
const REQUIRED_CHANNELS = ['time', 'displacement', 'force'] as const;
const SIGNED: ReadonlySet<string> = new Set(['displacement', 'velocity', 'force']);

const mappedColumn = madeOnce(() =>
  z
    .strictObject({
      header: text("The column's header in the log, with or without a unit in brackets."),
      unit: text(
        'Unit of the numbers: a UCUM code or an everyday spelling; for an adjuster click, turn or a word of your own.',
        40,
      ),
      positive: oneOf('Direction in which the channel counts up; compression if absent.', [
        'compression',
        'rebound',
      ]).optional(),
    })
    .meta({ description: 'A column of the log.' }),
);

/** Keys are the channels; any other key is the id of an adjuster. */
const columns = madeOnce(() =>
  z
    .record(z.string(), mappedColumn())
    .meta({
      description:
        'Columns by channel: time, displacement, velocity, force, temperature; any other name is an adjuster.',
    })
    .transform((value, context): readonly MappedColumn[] => {
      for (const channel of REQUIRED_CHANNELS) {
        if (Object.hasOwn(value, channel)) continue;
        const near = nearestKey(
          channel,
          Object.keys(value).filter((key) => !isChannel(key)),
        );
        const remedy =
          near === undefined
            ? `Add '${channel}: { header: ..., unit: ... }'.`
            : `Did you mean '${channel}' where it says '${near}'?`;
        addFault(context, `The column for '${channel}' is missing.`, { remedy });
      }
      return Object.entries(value).map(([key, column]) => toMappedColumn(key, column, context));
    }),
);

function toMappedColumn(
  key: string,
  column: z.output<ReturnType<typeof mappedColumn>>,
  context: z.RefinementCtx,
): MappedColumn {
  const direction = column.positive ?? 'compression';
  const plain = { header: column.header, unit: column.unit, positive: direction };
  if (isChannel(key)) {
    checkUnit(key, column.unit, context);
    if (column.positive !== undefined && !SIGNED.has(key))
      addFault(context, `'${key}' has no direction.`, { remedy: "Remove 'positive'." }, [key, 'positive']);
    return { role: key, ...plain };
  }
  const unit = parseUnit(column.unit);
  const near = nearestKey(key, CHANNELS);
  if (!ADJUSTER_ID.test(key) || (near !== undefined && unit?.dimension === CHANNEL_DIMENSIONS[near as Channel])) {
    addFault(
      context,
      `'${key}' is neither a channel nor the id of an adjuster.`,
      { remedy: unknownKeyRemedy(key, CHANNELS) },
      [key],
    );
  }
  return { role: 'adjuster', id: key, ...plain };
}

function checkUnit(channel: Channel, unitText: string, context: z.RefinementCtx): void {
  const dimension = CHANNEL_DIMENSIONS[channel];
  const unit = parseUnit(unitText);
  if (unit?.dimension === dimension) return;
  const near = nearestUnit(unitText, dimension);
  const offer = `${near === undefined ? '' : `Did you mean '${near}'? `}Known here: ${unitsOf(dimension).join(', ')}.`;
  const message =
    unit === undefined
      ? `'${unitText}' is not a known unit.`
      : `'${unitText}' is not a unit for ${DIMENSION_WORDS[dimension]}.`;
  addFault(context, message, { rule: 'unit-mismatch', remedy: offer }, [channel, 'unit']);
}

function isChannel(key: string): key is Channel {
  return Object.hasOwn(CHANNEL_DIMENSIONS, key);
}

const DELIMITERS = { ',': ',', ';': ';', '\t': '\t', comma: ',', semicolon: ';', tab: '\t' } as const;

const logMapping = madeOnce(() =>
  z
    .strictObject({
      files: glob('Which files, as a pattern from the root of the repository.'),
      delimiter: z
        .enum(Object.keys(DELIMITERS) as (keyof typeof DELIMITERS)[])
        .meta({ description: 'What stands between columns: , or ; or tab. Found from the content if absent.' })
        .transform((word): NonNullable<LogMapping['delimiter']> => DELIMITERS[word])
        .optional(),
      decimal: oneOf('Decimal point or comma. Found from the content if absent.', ['.', ',']).optional(),
      skipLines: whole('Lines before the header row that are not read.', 0, 10_000).optional(),
      columns: columns().optional(),
      preamble: preambleValues().optional(),
      fromPath: text(
        'Path pattern whose words in braces are preamble keys, such as incoming/{serial}/{build}/{setting.R}.csv.',
        256,
      )
        .superRefine(checkPathPattern)
        .optional(),
    })
    .superRefine((value, context) => {
      if (value.delimiter !== ',' || value.decimal !== ',') return;
      addFault(
        context,
        'The comma cannot part both columns and decimals.',
        { remedy: 'Write the delimiter that the log has, usually ";".' },
        ['decimal'],
      );
    })
    .meta({ description: 'How logs of a bench with other columns are read.' }),
);

/** Preamble keys that can stand in a path: one text each. */
const PATH_KEYS = [
  'spec',
  'serial',
  'build',
  'date',
  'bench',
  'run',
  'kind',
  'order',
  'drive',
  'forceZero',
  'temperatureAt',
] as const;

function checkPathPattern(pattern: string, context: z.RefinementCtx): void {
  const keys = [...pattern.matchAll(/\{([^{}]*)\}/g)].map((match) => match[1]!.trim());
  if (/[{}]/.test(pattern.replace(/\{[^{}]*\}/g, '')) || keys.length === 0 || /\}\{/.test(pattern)) {
    addFault(context, 'The pattern needs words in braces with text between them.', {
      remedy: 'Write it like incoming/{serial}/{build}.csv.',
    });
    return;
  }
  for (const key of keys) {
    if (PATH_KEYS.some((known) => known === key) || /^setting\..+$/.test(key)) continue;
    addFault(context, `'${key}' cannot stand in a path.`, {
      remedy: unknownKeyRemedy(key, [...PATH_KEYS, 'setting.ID']),
    });
  }
  const twice = keys.find((key, index) => keys.indexOf(key) !== index);
  if (twice !== undefined) addFault(context, `'${twice}' stands in the pattern twice.`, { remedy: 'Name it once.' });
}

const bench = madeOnce(() =>
  z
    .strictObject({
      loadCell: z
        .strictObject({
          U: notNegative('force', 'Expanded uncertainty (k = 2) of the load cell.').optional(),
          relativeU: notNegative(
            'fraction',
            'Expanded uncertainty (k = 2) of the load cell, as a share of the force.',
          ).optional(),
        })
        .meta({ description: 'The load cell.' })
        .optional(),
      displacementU: notNegative('length', 'Expanded uncertainty (k = 2) of displacement.').optional(),
      skewU: notNegative('time', 'Expanded uncertainty (k = 2) of the time between the channels.').optional(),
      movingMass: notNegative('mass', 'Mass that moves between load cell and damper.').optional(),
      conRod: positive('length', "Length of the crank's connecting rod.").optional(),
      calibrated: day('Day of the last calibration.').optional(),
      calibrationInterval: positive('time', 'How long a calibration holds.').optional(),
    })
    .meta({ description: 'What is known of a bench.' }),
);

const waiver = madeOnce(() =>
  z
    .strictObject({
      rule: ruleId('The rule whose findings are waived.'),
      file: glob('Files for which they are waived, as a pattern from the root.'),
      reason: text('Why.', 500),
      by: text('Who decided it.'),
      until: day('Last day on which it holds.'),
    })
    .meta({ description: 'A finding that is known and accepted for a time; it stays listed.' }),
);

export const reviewConfigSchema = madeOnce(() =>
  z
    .strictObject({
      formatVersion: formatVersion(),
      logs: z.array(logMapping()).meta({ description: 'How logs of other layouts are read.' }).optional(),
      benches: z.record(z.string(), bench()).meta({ description: 'Benches by id.' }).optional(),
      rules: rulesSchema().optional(),
      waivers: z.array(waiver()).meta({ description: 'Findings that are accepted for a time.' }).optional(),
    })
    .meta({ title: 'Damper review', description: 'Settings of a damper-spec repository.' }),
);
