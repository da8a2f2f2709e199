import { channelScale, type PositiveDirection } from '../../quantities/channel';
import { parseColumnHeader } from '../../quantities/columnHeader';
import { nearestSpelling } from '../../quantities/nearestSpelling';
import { unknownUnit, wrongDimension } from '../../quantities/quantity';
import { type Dimension, parseUnit, unitsOf } from '../../quantities/unit';
import type { FileProblem, SourcePosition } from '../problem';
import type { LogMapping, MappedColumn } from '../reviewConfig';
import type { LogColumn, LogRole } from '../testLog';
import { countOf } from './rowProblems';

/** One cell of a log's header row. */
export interface HeaderCell {
  readonly text: string;
  readonly position: SourcePosition;
}

/** Channels whose sign a preamble may turn round. */
export type SignedRole = 'displacement' | 'velocity' | 'force';
export type Signs = Readonly<Partial<Record<SignedRole, PositiveDirection>>>;

/** Measured channels in the order in which a message lists them; the first three are required. */
const DIMENSIONS: Readonly<Record<Exclude<LogRole, 'adjuster'>, Dimension>> = {
  time: 'time',
  displacement: 'length',
  force: 'force',
  velocity: 'velocity',
  temperature: 'temperature',
};
const REQUIRED = ['time', 'displacement', 'force'] as const;
/** Units that mark a column of our own format as an adjuster's position. */
const ADJUSTER_UNITS = new Set(['click', 'clicks', 'turn', 'turns']);

/** A column that was wanted and found, before its unit is understood. */
interface FoundColumn {
  readonly role: LogRole;
  readonly name: string;
  readonly unit: string | undefined;
  readonly positive: PositiveDirection;
  readonly index: number;
}

/** How many header cells are columns that the reader looks for: tells the right delimiter from a wrong one. */
export function countKnownHeaders(cells: readonly string[], mapping: LogMapping | undefined): number {
  const known = mapping?.columns;
  return cells.filter((cell) =>
    known === undefined
      ? isChannel(parseColumnHeader(cell).name)
      : known.some((column) => matchesHeader(cell, column.header)),
  ).length;
}

/**
 * Finds the needed columns in a header row, by our own names or as a mapping says.
 *
 * @param signs channels that count up in rebound, from the preamble; a mapped column states its own sign
 * @returns the columns in the order of the file, and everything wrong with them
 */
export function findColumns(
  file: string,
  cells: readonly HeaderCell[],
  mapping: LogMapping | undefined,
  signs: Signs,
): { columns: LogColumn[]; problems: FileProblem[] } {
  const problems: FileProblem[] = [];
  const header: HeaderRow = { file, cells, line: cells[0]?.position.line ?? 1, problems };
  const found = mapping?.columns === undefined ? ownColumns(header, signs) : mappedColumns(header, mapping);
  reportDuplicates(header, found);
  if (problems.length === 0) reportMissing(header, found, mapping);
  const columns = found.flatMap((column) => understandUnit(header, column, mapping) ?? []);
  return { columns: columns.sort((a, b) => a.index - b.index), problems };
}

interface HeaderRow {
  readonly file: string;
  readonly cells: readonly HeaderCell[];
  readonly line: number;
  readonly problems: FileProblem[];
}

function ownColumns(header: HeaderRow, signs: Signs): FoundColumn[] {
  return header.cells.flatMap((cell, index): FoundColumn[] => {
    const { name, unit } = parseColumnHeader(cell.text);
    if (isChannel(name)) {
      const positive = isSigned(name) ? (signs[name] ?? 'compression') : 'compression';
      return [{ role: name, name, unit, positive, index }];
    }
    if (unit !== undefined && ADJUSTER_UNITS.has(unit) && name !== '')
      return [{ role: 'adjuster', name, unit, positive: 'compression', index }];
    return [];
  });
}

function mappedColumns(header: HeaderRow, mapping: LogMapping): FoundColumn[] {
  return (mapping.columns ?? []).flatMap((column): FoundColumn[] => {
    const matches = header.cells.flatMap((cell, index) => (matchesHeader(cell.text, column.header) ? [index] : []));
    const [index, second] = matches;
    const name = column.role === 'adjuster' ? (column.id ?? column.header) : column.role;
    if (index === undefined) header.problems.push(unmatchedHeader(header, mapping, column, name));
    else if (second !== undefined)
      header.problems.push(problemAt(header, second, name, ...twice(`header '${column.header}'`)));
    else return [{ role: column.role, name, unit: column.unit, positive: column.positive, index }];
    return [];
  });
}

function isChannel(name: string): name is keyof typeof DIMENSIONS {
  return Object.hasOwn(DIMENSIONS, name);
}

/** Whether a channel has a sign that can be the other way round. */
export function isSigned(name: string): name is SignedRole {
  return name === 'displacement' || name === 'velocity' || name === 'force';
}

function matchesHeader(cell: string, header: string): boolean {
  return cell.trim() === header.trim() || parseColumnHeader(cell).name === header.trim();
}

function unmatchedHeader(header: HeaderRow, mapping: LogMapping, column: MappedColumn, name: string): FileProblem {
  const present = header.cells.map((cell) => cell.text.trim());
  const names = present.map((text) => parseColumnHeader(text).name);
  const near = nearestSpelling(column.header, [...present, ...names]);
  return {
    rule: 'file-invalid',
    file: header.file,
    position: { line: header.line, column: 1 },
    column: name,
    value: column.header.slice(0, 80),
    message: `The log has no column '${column.header}', from which ${mapping.keyPath} of ${mapping.file} takes its ${name}.`,
    remedy: near === undefined ? `Its columns are ${listed(present)}.` : `Did you mean '${near}'? Correct the mapping.`,
  };
}

function reportDuplicates(header: HeaderRow, found: readonly FoundColumn[]): void {
  found.forEach((column, at) => {
    const before = found.slice(0, at);
    if (before.some((other) => other.name === column.name))
      header.problems.push(problemAt(header, column.index, column.name, ...twice(`column ${column.name}`)));
    else if (before.some((other) => other.index === column.index))
      header.problems.push(
        problemAt(
          header,
          column.index,
          column.name,
          `The mapping takes two channels from the column '${header.cells[column.index]!.text.trim()}'.`,
          'Let each channel of the mapping name a header of its own.',
        ),
      );
  });
}

function twice(what: string): [string, string] {
  return [`The ${what} stands twice in the header.`, 'Rename or remove one of the two.'];
}

function reportMissing(header: HeaderRow, found: readonly FoundColumn[], mapping: LogMapping | undefined): void {
  const present = header.cells.map((cell) => cell.text.trim());
  if (mapping?.columns === undefined && present.every((text) => text !== '' && Number.isFinite(Number(text)))) {
    const message = 'The first row holds numbers where the header is due.';
    const remedy = 'Write a header row such as: time [s],displacement [mm],force [N]';
    header.problems.push(problemAt(header, 0, undefined, message, remedy));
    return;
  }
  const names = present.map((text) => parseColumnHeader(text).name);
  for (const role of REQUIRED) {
    if (found.some((column) => column.role === role)) continue;
    const near = nearestSpelling(role, names);
    const index = near === undefined ? 0 : names.indexOf(near);
    const unit = unitsOf(DIMENSIONS[role])[0]!;
    const rename = near === undefined ? 'Add it' : `The nearest header is '${present[index]!}': rename it`;
    const message = `The log has no column for ${role}; its columns are ${listed(present)}.`;
    const remedy = `${rename} as '${role} [${unit}]' with its own unit, or map the log's columns in damper-review.yaml.`;
    header.problems.push({ ...problemAt(header, index, role, message, remedy), value: present[index]!.slice(0, 80) });
  }
}

function understandUnit(header: HeaderRow, found: FoundColumn, mapping: LogMapping | undefined): LogColumn | undefined {
  const { role, name, index } = found;
  if (role === 'adjuster') return { role, name, unit: found.unit ?? '', index, factor: 1, offset: 0 };
  const dimension = DIMENSIONS[role];
  const unit = found.unit === undefined ? undefined : parseUnit(found.unit);
  if (unit?.dimension === dimension)
    return { role, name, unit: unit.code, index, ...channelScale(unit, found.positive) };
  const words =
    found.unit === undefined
      ? { problem: `The column ${name} has no unit.`, remedy: `Write it like '${name} [${unitsOf(dimension)[0]!}]'.` }
      : unit === undefined
        ? unknownUnit(found.unit, dimension)
        : wrongDimension(unit, dimension);
  const remedy =
    mapping?.columns === undefined
      ? words.remedy
      : `${words.remedy} The unit stands in ${mapping.keyPath} of ${mapping.file}.`;
  header.problems.push({ ...problemAt(header, index, name, words.problem, remedy), rule: 'unit-mismatch' });
  return undefined;
}

function problemAt(
  header: HeaderRow,
  index: number,
  column: string | undefined,
  message: string,
  remedy: string,
): FileProblem {
  const cell = header.cells[index];
  return {
    rule: 'file-invalid',
    file: header.file,
    position: cell?.position ?? { line: header.line, column: 1 },
    ...(column === undefined ? {} : { column }),
    value: (cell?.text ?? '').slice(0, 80),
    message,
    remedy,
  };
}

const MOST_LISTED = 8;

function listed(headers: readonly string[]): string {
  const shown = headers.slice(0, MOST_LISTED).map((text) => `'${text.slice(0, 40)}'`);
  const left = headers.length - shown.length;
  return shown.join(', ') + (left > 0 ? ` and ${countOf(left, 'more')}`.replace(/s$/, '') : '');
}
