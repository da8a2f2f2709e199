import { parseRecords } from './csv/parseRecords';
import type { CsvRecords } from './csv/parseRecords';
import { decodeText } from './decodeText';
import { MEASURED_COLUMNS } from './forceColumns';
import { findDecimalSign, readCell } from './forceTableCells';
import { findDelimiter, readTableHeader } from './forceTableHeader';
import type { Delimiter, TableColumn } from './forceTableHeader';
import { forceSignProblems } from './forceSigns';
import { forceRow } from './forceRow';
import type { ForceRow, ForceTable, MeasuredRow } from './forceTable';
import { readPlainTable } from './plain/plainTable';
import { readPreamble } from './preamble';
import type { FileProblem } from './problem';
import { ProblemList, wholeLine } from './problemText';
import { withoutRepeats } from './repeatedRows';
import { kindOf } from './tableKind';
import { readTablePreamble } from './tablePreamble';

/**
 * Reads reference curves (`.refcurve.csv`) or a result (any other name). SI.
 *
 * @returns the table unless the file cannot be relied on; `row-repeated`, `sign-suspect` and `file-kind-differs` come with a table
 */
export function readForceTable(file: string, bytes: Uint8Array): TableRead {
  const plain = readPlainTable(file, bytes);
  return plain === undefined ? readAnyForceTable(file, bytes) : checkedTable(plain, []);
}

interface TableRead {
  readonly table?: ForceTable;
  readonly problems: FileProblem[];
}

/** The same for every file, plain or not; only what is not plain needs it (src/files/plain). */
export function readAnyForceTable(file: string, bytes: Uint8Array): TableRead {
  const decoded = decodeText(file, bytes);
  if ('problem' in decoded) return { problems: [decoded.problem] };
  const lines = decoded.text.split('\n');
  const preamble = readPreamble(lines, file);
  const headerText = lines[preamble.bodyLine - 1] ?? '';
  const faults = new ProblemList(file, 'file-invalid');
  for (const problem of preamble.problems) faults.push(problem);
  if (headerText.trim() === '') {
    faults.add({
      position: wholeLine(preamble.bodyLine),
      message: 'The file has no header row.',
      remedy: `Add one such as velocity [mm/s],compression [N],rebound [N].`,
    });
    return { problems: faults.all() };
  }
  const delimiter = findDelimiter(headerText);
  const records = parseRecords(decoded.text, { delimiter });
  for (const fault of records.problems) faults.add(fault);
  if (records.records.length === 0) return { problems: faults.all() };
  const { kind, differs } = kindOf(file, preamble.entries, headerText, delimiter);
  const { head, problems } = readTablePreamble(file, kind, preamble.entries);
  for (const problem of problems) faults.push(problem);
  const columns = readTableHeader(
    { cells: records.records[0]!, positionOf: (cell) => records.positionOf(0, cell) },
    faults,
  );
  const known = columns.filter((column) => column !== undefined);
  const rows = known.length === columns.length ? readRows(records, known, delimiter, faults) : [];
  if (faults.count > 0 || head === undefined) return { problems: [...faults.all(), ...differs] };
  const adjusters = known.filter((column) => column.kind === 'adjuster').map(({ id, unit }) => ({ id, unit }));
  return checkedTable({ ...head, file, kind, headerLine: records.lines[0]!, adjusters, rows }, differs);
}

/** What comes with a table that can be relied on. */
function checkedTable(all: ForceTable, before: readonly FileProblem[]): TableRead {
  const { rows, problems } = withoutRepeats(all.file, all.rows);
  const table = rows === all.rows ? all : { ...all, rows };
  return { table, problems: [...before, ...problems, ...forceSignProblems(table)] };
}

function readRows(
  records: CsvRecords,
  columns: readonly TableColumn[],
  delimiter: Delimiter,
  faults: ProblemList,
): ForceRow[] {
  const [, ...data] = records.records;
  const decimal = findDecimalSign(data, delimiter);
  const rows: ForceRow[] = [];
  data.forEach((cells, index) => {
    const record = index + 1;
    const line = records.lines[record]!;
    if (cells.length !== columns.length) {
      const message = `The row has ${cells.length} cells; the header has ${columns.length}.`;
      const remedy =
        delimiter === ','
          ? 'Fill the row up, or remove what is too much; check for a decimal comma.'
          : 'Fill the row up, or remove what is too much.';
      faults.add({ position: wholeLine(line), value: cells.join(delimiter), message, remedy });
      return;
    }
    const values = columns.map((column, cell) =>
      readCell(cells[cell]!, column, decimal, () => records.positionOf(record, cell), faults),
    );
    if (values.every((value) => value !== undefined)) rows.push(toRow(line, columns, values));
  });
  if (data.length === 0 && records.problems.length === 0) {
    faults.add({
      position: wholeLine(records.lines[0]!),
      message: 'The file has a header row and no data.',
      remedy: 'Add rows, or remove the file.',
    });
  }
  return rows;
}

function toRow(line: number, columns: readonly TableColumn[], values: readonly number[]): ForceRow {
  const setting: number[] = [];
  const named: Record<string, number> = {};
  columns.forEach((column, index) => {
    if (column.kind === 'adjuster') setting.push(values[index]!);
    else named[column.column.name] = values[index]!;
  });
  const { pass = 1, velocity = NaN, compression = NaN, rebound = NaN, gas = NaN, temperature = NaN, cycles } = named;
  const measured = cycles === undefined ? undefined : measuredOf(named);
  return forceRow({ line, setting, pass, velocity, compression, rebound, gas, temperature, measured });
}

const MEASURED_NAMES = Object.keys(MEASURED_COLUMNS);

function measuredOf(named: Readonly<Record<string, number>>): MeasuredRow {
  const measured: Record<string, number> = {};
  for (const name of MEASURED_NAMES) measured[name] = named[name] ?? NaN;
  return measured as unknown as MeasuredRow;
}
