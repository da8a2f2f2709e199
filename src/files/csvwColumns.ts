import { parseColumnHeader } from '../quantities/columnHeader';
import { nearestUnit, parseUnit, unitsOf } from '../quantities/unit';
import { DIMENSION_WORDS } from '../quantities/unitTable';
import type { LogMapping, MappedColumn } from './reviewConfig';
import type { JsonPart } from './schema/jsonPart';
import { CHANNEL_DIMENSIONS } from './schema/reviewConfigSchema';
import { ADJUSTER_ID } from './schema/specSchema';

type Channel = keyof typeof CHANNEL_DIMENSIONS;

/** The columns of a CSVW schema that a log needs, and the decimal sign that they share. */
export function readCsvwColumns(columns: JsonPart): {
  columns: readonly MappedColumn[];
  decimal: LogMapping['decimal'] | undefined;
} {
  if (!columns.isList()) {
    columns.fault(
      'The tableSchema has no list of columns.',
      'Write "columns": [ { "titles": ..., "name": "time", "unit": "s" }, ... ].',
    );
    return { columns: [], decimal: undefined };
  }
  const found = columns.items().flatMap((column) => readColumn(column) ?? []);
  for (const channel of ['time', 'displacement', 'force'] as const) {
    if (found.some(({ role }) => role === channel)) continue;
    columns.fault(
      `No column is named '${channel}'.`,
      `Give the column for it "name": "${channel}", and its header as "titles".`,
    );
  }
  return { columns: found, decimal: decimalOf(columns) };
}

/** Undefined for a column that a review has no use for. */
function readColumn(column: JsonPart): MappedColumn | undefined {
  const title = titleOf(column.key('titles'));
  const header = title ?? column.key('name').text();
  if (header === undefined || column.key('virtual').text() === 'true') return undefined;
  const name = column.key('name').text() ?? parseColumnHeader(header).name;
  const unit = unitOf(column) ?? parseColumnHeader(header).unit;
  const positive = annotation(column, ['positive']) === 'rebound' ? ('rebound' as const) : ('compression' as const);
  if (isChannel(name)) {
    checkUnit(column, name, unit);
    return { role: name, header, unit: unit ?? '', positive };
  }
  // A channel of another kind has a physical unit; an adjuster's unit is a word of its own.
  if (unit === undefined || parseUnit(unit) !== undefined || !ADJUSTER_ID.test(name)) return undefined;
  return { role: 'adjuster', id: name, header, unit, positive };
}

function checkUnit(column: JsonPart, channel: Channel, text: string | undefined): void {
  const dimension = CHANNEL_DIMENSIONS[channel];
  if (text === undefined) {
    column.fault(
      `The column '${channel}' has no unit.`,
      `Add "unit": "${unitsOf(dimension)[0]!}" or the unit it has.`,
      'unit-mismatch',
    );
  } else if (parseUnit(text)?.dimension !== dimension) {
    const near = nearestUnit(text, dimension);
    const remedy = near === undefined ? `Known here: ${unitsOf(dimension).join(', ')}.` : `Did you mean '${near}'?`;
    column.fault(`'${text}' is not a unit for ${DIMENSION_WORDS[dimension]}.`, remedy, 'unit-mismatch');
  }
}

/** The first title: a text, a list of them, or lists by language. */
function titleOf(titles: JsonPart): string | undefined {
  if (titles.isList()) return titles.items()[0]?.text();
  const [language] = titles.keys();
  return titles.text() ?? (language === undefined ? undefined : titleOf(titles.key(language)));
}

/** CSVW has no property for units; the usual annotations are a plain `unit`, or one with a prefix. */
function unitOf(column: JsonPart): string | undefined {
  return annotation(column, ['unit', 'unitText', 'ucumCode']);
}

function annotation(column: JsonPart, names: readonly string[]): string | undefined {
  const key = column.keys().find((one) => names.includes(one.slice(one.indexOf(':') + 1)));
  if (key === undefined) return undefined;
  const part = column.key(key);
  return part.text() ?? part.key('@value').text();
}

function decimalOf(columns: JsonPart): LogMapping['decimal'] | undefined {
  let found: LogMapping['decimal'] | undefined;
  for (const column of columns.items()) {
    const part = column.key('datatype').key('format').key('decimalChar');
    const text = part.text();
    if (text === undefined) continue;
    if ((text !== '.' && text !== ',') || (found !== undefined && found !== text)) {
      part.fault(
        `'${text}' cannot be the decimal sign of this log.`,
        'Use a point or a comma, the same in all columns.',
      );
    } else found = text;
  }
  return found;
}

function isChannel(name: string): name is Channel {
  return Object.hasOwn(CHANNEL_DIMENSIONS, name);
}
