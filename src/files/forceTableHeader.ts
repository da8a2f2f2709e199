import { parseColumnHeader } from '../quantities/columnHeader';
import { nearestUnit, parseUnit, unitsOf } from '../quantities/unit';
import type { Unit } from '../quantities/unit';
import { unknownUnit, wrongDimension } from '../quantities/quantity';
import { forceColumn, forceColumnNames, MEASURED_COLUMNS, REQUIRED_COLUMNS } from './forceColumns';
import type { ForceColumn } from './forceColumns';
import { nearestKey, unknownKeyRemedy } from './nearest';
import type { SourcePosition } from './problem';
import type { ProblemList } from './problemText';
import { ADJUSTER_ID } from './schema/specSchema';

/** A column of a table as its header names it. */
export type TableColumn =
  | { readonly kind: 'adjuster'; readonly id: string; readonly unit: string }
  | { readonly kind: 'value'; readonly column: ForceColumn; readonly unit?: Unit };

/** Cells of the header row with their places. */
export interface HeaderRow {
  readonly cells: readonly string[];
  positionOf(cell: number): SourcePosition;
}

/** What may stand between two cells. */
export type Delimiter = ',' | ';' | '\t';

/** The delimiter that finds the most known columns in the header row, then the most cells. */
export function findDelimiter(header: string): Delimiter {
  const score = (delimiter: Delimiter) => {
    const cells = header.split(delimiter).map((cell) => parseColumnHeader(cell.replace(/^\s*"|"\s*$/g, '')).name);
    return cells.filter((name) => forceColumn(name) !== undefined).length * 1000 + Math.min(cells.length, 999);
  };
  return ([',', ';', '\t'] as const).reduce((best, one) => (score(one) > score(best) ? one : best));
}

/** Understands the header row of reference curves or a result; `undefined` for a cell that is at fault, which is reported. */
export function readTableHeader(header: HeaderRow, problems: ProblemList): (TableColumn | undefined)[] {
  const names = header.cells.map((cell) => parseColumnHeader(cell).name);
  const columns = header.cells.map((cell, index) => {
    const { name, unit } = parseColumnHeader(cell);
    const position = header.positionOf(index);
    if (name !== '' && names.indexOf(name) < index) {
      const message = `The column '${name}' stands twice in the header.`;
      problems.add({ position, column: name, value: cell, message, remedy: 'Rename or remove one of the two.' });
      return undefined;
    }
    const known = forceColumn(name);
    return known === undefined
      ? adjusterColumn(name, unit, cell, position, problems)
      : valueColumn(known, unit, cell, position, problems);
  });
  reportMissing(names, columns, header, problems);
  return columns;
}

function valueColumn(
  column: ForceColumn,
  unitText: string | undefined,
  cell: string,
  position: SourcePosition,
  problems: ProblemList,
): TableColumn | undefined {
  const { name, dimension } = column;
  const place = { position, column: name, value: cell };
  if (dimension === undefined) {
    if (unitText === undefined || unitText === '1') return { kind: 'value', column };
    problems.add({
      ...place,
      message: `'${name}' is a plain number and has no unit.`,
      remedy: `Write the header as ${name}.`,
    });
    return undefined;
  }
  if (unitText === undefined) {
    problems.add({
      ...place,
      rule: 'unit-mismatch',
      message: `The column '${name}' has no unit.`,
      remedy: `Write the header as ${name} [${unitsOf(dimension)[0]!}].`,
    });
    return undefined;
  }
  const unit = parseUnit(unitText);
  if (unit === undefined) {
    const { problem, remedy } = unknownUnit(unitText, dimension);
    const swallowed = nearestUnit(unitText, dimension) === `[${unitText}]`;
    problems.add({
      ...place,
      rule: 'unit-mismatch',
      message: problem,
      remedy: swallowed ? `Write the header as ${name} [[${unitText}]]: the unit has brackets of its own.` : remedy,
    });
    return undefined;
  }
  if (unit.dimension === dimension) return { kind: 'value', column, unit };
  const { problem, remedy } = wrongDimension(unit, dimension);
  problems.add({ ...place, rule: 'unit-mismatch', message: problem, remedy });
  return undefined;
}

function adjusterColumn(
  name: string,
  unit: string | undefined,
  cell: string,
  position: SourcePosition,
  problems: ProblemList,
): TableColumn | undefined {
  const place = { position, column: name, value: cell };
  if (name === '') {
    problems.add({
      ...place,
      message: 'A column has no header.',
      remedy: 'Name the column, or remove it with its cells.',
    });
    return undefined;
  }
  const near = nearestKey(name, forceColumnNames());
  const misspelt =
    near !== undefined && (unit === undefined || parseUnit(unit)?.dimension === forceColumn(near)?.dimension);
  if (unit !== undefined && unit !== '' && !misspelt && ADJUSTER_ID.test(name))
    return { kind: 'adjuster', id: name, unit };
  if (misspelt || unit !== undefined) {
    problems.add({
      ...place,
      message: `'${name}' is no column of this file.`,
      remedy: unknownKeyRemedy(name, forceColumnNames()),
    });
  } else {
    problems.add({
      ...place,
      message: `'${name}' is no column of this file, and without a unit it is no adjuster either.`,
      remedy: `Write an adjuster as ${name} [click]; remove the column if it is none.`,
    });
  }
  return undefined;
}

function reportMissing(
  names: readonly string[],
  columns: readonly (TableColumn | undefined)[],
  header: HeaderRow,
  problems: ProblemList,
): void {
  const measured = Object.keys(MEASURED_COLUMNS);
  const wanted = [...REQUIRED_COLUMNS, ...(measured.some((name) => names.includes(name)) ? measured : [])];
  for (const name of wanted.filter((one) => !names.includes(one))) {
    const near = nearestKey(
      name,
      names.filter((one) => forceColumn(one) === undefined),
    );
    // A misspelt one has been reported where it stands.
    if (near !== undefined && columns[names.indexOf(near)] === undefined) continue;
    const unit = forceColumn(name)?.unit;
    problems.add({
      position: header.positionOf(0),
      column: name,
      value: header.cells.join(', '),
      message: `The column '${name}' is missing.`,
      remedy:
        near === undefined
          ? `Add ${unit === undefined ? name : `${name} [${unit}]`}.`
          : `Did you mean '${name}' where it says '${near}'?`,
    });
  }
}
