import { columnHeaderText } from '../quantities/columnHeader';
import { isQuantityProblem, parseQuantity, quantityText } from '../quantities/quantity';
import { parseUnit } from '../quantities/unit';
import { cellText, MEASURED_COLUMNS, POINT_COLUMNS, roundedCell } from './forceColumns';
import type { ForceColumn } from './forceColumns';
import type { ForceRow, ForceTable, MeasuredRow, ResultOrigin, TestBasis } from './forceTable';
import { withoutUndefined } from './withoutUndefined';
import { yamlFlow } from './yamlText';

/**
 * Writes reference curves or a result: fixed order of keys and columns, fixed rounding, LF, UTF-8 without byte order mark,
 * decimal point, so that one table is the same bytes on every machine.
 */
export function writeForceTable(table: ForceTable): Uint8Array {
  const rounded = roundForceTable(table);
  const columns = columnsOf(rounded);
  const lines = [
    ...preambleOf(rounded).map(([key, value]) => `# ${key}: ${yamlFlow(value)}`),
    columns.map(({ header }) => csvCell(header)).join(','),
    ...rounded.rows.map((row) => columns.map(({ cell }) => cell(row)).join(',')),
  ];
  return new TextEncoder().encode(`${lines.join('\n')}\n`);
}

interface WrittenColumn {
  readonly header: string;
  readonly cell: (row: ForceRow) => string;
}

function columnsOf({ adjusters, rows }: ForceTable): WrittenColumn[] {
  const adjusterColumns = adjusters.map(({ id, unit }, index) => ({
    header: columnHeaderText(id, unit),
    cell: (row: ForceRow) => String(row.setting[index] ?? ''),
  }));
  const point = (key: keyof typeof POINT_COLUMNS) => written(POINT_COLUMNS[key], (row) => row[key]);
  const measured = Object.entries(MEASURED_COLUMNS).map(([key, column]) =>
    written(column, (row) => row.measured?.[key as keyof MeasuredRow]),
  );
  return [
    ...adjusterColumns,
    ...(rows.some((row) => row.pass > 1) ? [point('pass')] : []),
    point('velocity'),
    point('compression'),
    point('rebound'),
    ...(rows.some((row) => row.gas !== undefined) ? [point('gas')] : []),
    ...(rows.some((row) => row.temperature !== undefined) ? [point('temperature')] : []),
    ...(rows.some((row) => row.measured !== undefined) ? measured : []),
  ];
}

function written(column: ForceColumn, valueOf: (row: ForceRow) => number | undefined): WrittenColumn {
  return { header: columnHeaderText(column.name, column.unit), cell: (row) => cellText(column, valueOf(row) ?? NaN) };
}

type Entry = readonly [key: string, value: unknown];

function preambleOf(table: ForceTable): Entry[] {
  const { basis, result } = table;
  const entries: Entry[] = [
    ['formatVersion', String(table.formatVersion)],
    ['spec', table.spec],
    ...(result === undefined ? [] : identityOf(result)),
    ['gas', table.gas && gasOf(table.gas)],
    ['stroke', basis.stroke === undefined ? undefined : lengthText(basis.stroke)],
    ['midPosition', basis.midPosition === undefined ? undefined : lengthText(basis.midPosition)],
    ['drive', basis.drive],
    ['forceZero', basis.forceZero],
    ['temperatureAt', basis.temperatureAt],
    [
      'adopted',
      table.adopted && { from: adoptedFrom(table.adopted.from), on: table.adopted.on, reason: table.adopted.reason },
    ],
    ...(result === undefined ? [] : originOf(result)),
  ];
  return entries.filter(([, value]) => value !== undefined);
}

function identityOf({ serial, build, date, bench, run, sameMounting, retest }: ResultOrigin): Entry[] {
  return [
    ['serial', serial],
    ['build', build],
    ['date', date],
    ['bench', bench],
    ['run', run?.toString()],
    ['sameMounting', sameMounting?.toString()],
    ['retest', retest && { of: retest.of, reason: retest.reason }],
  ];
}

function originOf({ method, benchIncluded, source, inputs, reference }: ResultOrigin): Entry[] {
  return [
    ['method', method?.toString()],
    ['benchIncluded', benchIncluded?.toString()],
    ['source', source.length === 0 ? undefined : source.map(({ path, sha256 }) => ({ path, sha256 }))],
    [
      'inputs',
      Object.keys(inputs).length > 0 ? { spec: inputs.spec, mapping: inputs.mapping, bench: inputs.bench } : undefined,
    ],
    ['reference', reference && { path: reference.path, sha256: reference.sha256 }],
  ];
}

function gasOf({ force, temperature, source }: NonNullable<ForceTable['gas']>): object {
  return {
    force: `${cellText(POINT_COLUMNS.gas, force)} N`,
    temperature: temperature === undefined ? undefined : `${cellText(POINT_COLUMNS.temperature, temperature)} Cel`,
    source,
  };
}

function adoptedFrom(paths: readonly string[]): unknown {
  return paths.length === 1 ? paths[0] : paths;
}

/** Quotes a header where RFC 4180 asks for it; numbers never need it. */
function csvCell(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replace(/"/g, '""')}"` : text;
}

/** Lengths of the basis are written with this many decimals of a millimetre. */
const LENGTH_DECIMALS = 2;

/**
 * The table as it would be read back once written: every number rounded by the rules of its column. Judging works on this,
 * so that a committed result and a fresh one give the same verdict.
 *
 * Two achieved velocities may round to one; the later row then counts as a further pass.
 */
export function roundForceTable(table: ForceTable): ForceTable {
  const gas = table.gas === undefined ? undefined : roundGas(table.gas);
  const seen = new Set<string>();
  const rows = table.rows.map((row) => {
    const rounded = roundRow(row, gas?.force);
    let { pass } = rounded;
    while (seen.has(rowKey(rounded, pass))) pass++;
    seen.add(rowKey(rounded, pass));
    return { ...rounded, pass };
  });
  return { ...table, rows, basis: roundBasis(table.basis), ...(gas === undefined ? {} : { gas }) };
}

function rowKey(row: ForceRow, pass: number): string {
  return [...row.setting, row.velocity, pass].join(' ');
}

function roundRow(row: ForceRow, tableGas: number | undefined): ForceRow {
  const { measured } = row;
  const gas = row.gas === undefined ? undefined : roundedCell(POINT_COLUMNS.gas, row.gas);
  const temperature =
    row.temperature === undefined ? undefined : roundedCell(POINT_COLUMNS.temperature, row.temperature);
  return withoutUndefined({
    line: row.line,
    setting: row.setting,
    pass: row.pass,
    velocity: roundedCell(POINT_COLUMNS.velocity, row.velocity),
    compression: roundedCell(POINT_COLUMNS.compression, row.compression),
    rebound: roundedCell(POINT_COLUMNS.rebound, row.rebound),
    // A row's own gas that is the table's needs no cell.
    gas: gas === tableGas || Number.isNaN(gas) ? undefined : gas,
    temperature: Number.isNaN(temperature) ? undefined : temperature,
    measured: measured === undefined ? undefined : roundMeasured(measured),
  });
}

function roundMeasured(measured: MeasuredRow): MeasuredRow {
  const entries = Object.entries(MEASURED_COLUMNS).map(([name, column]) => [
    name,
    roundedCell(column, measured[name as keyof MeasuredRow]),
  ]);
  return Object.fromEntries(entries) as MeasuredRow;
}

function roundGas(gas: NonNullable<ForceTable['gas']>): NonNullable<ForceTable['gas']> {
  return withoutUndefined({
    force: roundedCell(POINT_COLUMNS.gas, gas.force),
    temperature: gas.temperature === undefined ? undefined : roundedCell(POINT_COLUMNS.temperature, gas.temperature),
    source: gas.source,
  });
}

function roundBasis({ stroke, midPosition, ...words }: TestBasis): TestBasis {
  return withoutUndefined({ ...words, stroke: roundLength(stroke), midPosition: roundLength(midPosition) });
}

function roundLength(value: number | undefined): number | undefined {
  return value === undefined ? undefined : readBack(lengthText(value));
}

/** A length of the preamble as it is written. */
function lengthText(value: number): string {
  return quantityText(value, parseUnit('mm')!, LENGTH_DECIMALS);
}

function readBack(text: string): number {
  const result = parseQuantity(text, 'length');
  if (isQuantityProblem(result)) throw new Error(`'${text}' was written and cannot be read: ${result.problem}`);
  return result.value;
}
