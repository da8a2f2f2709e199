import { decodeText } from './decodeText';
import { nameOf } from './paths';
import type { FileProblem } from './problem';
import { ProblemList } from './problemText';
import { logOfMetadata } from './recognise';
import type { LogMapping } from './reviewConfig';
import { readCsvwColumns } from './csvwColumns';
import { JsonPart } from './schema/jsonPart';
import { preambleValues } from './schema/testLogPreamble';
import { readYaml } from './schema/yamlTree';
import { withoutUndefined } from './withoutUndefined';

/**
 * Reads a W3C CSVW metadata file (`LOG-metadata.json`, Metadata Vocabulary for Tabular Data, 2015) as the mapping of the log
 * beside it. Used are: `url`, `dialect` (delimiter, skipRows), `tableSchema.columns` (name, titles, a unit, decimalChar) and
 * `notes` that hold preamble keys. Nothing is fetched: a schema that lies elsewhere is a fault.
 */
export function readCsvw(file: string, bytes: Uint8Array): { mapping?: LogMapping; problems: FileProblem[] } {
  const decoded = decodeText(file, bytes);
  if ('problem' in decoded) return { problems: [decoded.problem] };
  // JSON is YAML's flow style, so one reader gives every value its place and refuses repeated keys.
  const { tree, problems } = readYaml(file, decoded.text, 'file-invalid');
  if (tree === undefined) return { problems };
  const faults = new ProblemList(file, 'file-invalid');
  const root = new JsonPart(tree, faults, []);
  const table = tableOf(root, logOfMetadata(file));
  const mapping = table === undefined ? undefined : mappingOf(file, root, table, faults);
  return faults.count > 0 || mapping === undefined ? { problems: faults.all() } : { mapping, problems: [] };
}

/** The table that describes the log: the document itself, or one of its `tables`. */
function tableOf(root: JsonPart, logPath: string): JsonPart | undefined {
  const name = nameOf(logPath);
  const tables = root.key('tables');
  if (!tables.isList()) return urlFits(root, name) ? root : undefined;
  const found = tables.items().find((table) => table.key('url').text() === name);
  if (found === undefined)
    tables.fault(
      `No table of the file has the url '${name}'.`,
      `Describe ${name}, the log that this file stands beside.`,
    );
  return found;
}

function urlFits(table: JsonPart, name: string): boolean {
  const url = table.key('url');
  if (!url.isPresent() || url.text() === name) return true;
  url.fault(
    `The url '${url.text() ?? ''}' is not the log beside this file.`,
    `Write "url": "${name}". Nothing is fetched from elsewhere.`,
  );
  return false;
}

function mappingOf(file: string, root: JsonPart, table: JsonPart, faults: ProblemList): LogMapping | undefined {
  const schema = table.key('tableSchema');
  if (!schema.isMap()) {
    const elsewhere = schema.text() !== undefined;
    schema.fault(
      elsewhere ? 'The tableSchema lies elsewhere.' : 'There is no tableSchema.',
      'Write "tableSchema": { "columns": [ ... ] } into this file; nothing is fetched.',
    );
    return undefined;
  }
  const dialect = table.key('dialect').isPresent() ? table.key('dialect') : root.key('dialect');
  const { columns, decimal } = readCsvwColumns(schema.key('columns'));
  const preamble = preambleOf(table);
  const layout = readDialect(dialect);
  if (faults.count > 0) return undefined;
  return withoutUndefined({
    file,
    keyPath: 'tableSchema',
    files: logOfMetadata(file),
    columns,
    decimal,
    preamble,
    ...layout,
  });
}

function readDialect(dialect: JsonPart): { delimiter: LogMapping['delimiter'] | undefined; skipLines: number } {
  if (dialect.text() !== undefined)
    dialect.fault('The dialect lies elsewhere.', 'Write "dialect": { ... } into this file; nothing is fetched.');
  const encoding = dialect.key('encoding').text();
  if (encoding !== undefined && !/^utf-?8$/i.test(encoding)) {
    dialect.key('encoding').fault(`Logs are read as UTF-8, not as ${encoding}.`, 'Save the log as UTF-8.');
  }
  if (dialect.key('header').text() === 'false' || dialect.key('headerRowCount').text() === '0') {
    dialect.key('header').fault('The log is said to have no header row.', 'Add a header row to the log.');
  }
  const skip = dialect.key('skipRows').text() ?? '0';
  if (!/^\d{1,4}$/.test(skip))
    dialect.key('skipRows').fault(`'${skip}' is not a number of lines.`, 'Write a whole number.');
  return { delimiter: delimiterOf(dialect.key('delimiter')), skipLines: Number(skip) };
}

function delimiterOf(part: JsonPart): LogMapping['delimiter'] | undefined {
  const text = part.text();
  if (text === undefined || text === ',' || text === ';' || text === '\t') return text;
  part.fault(`'${text}' cannot part columns here.`, 'Use a comma, a semicolon or a tab.');
  return undefined;
}

/** `notes` may hold anything; objects made of preamble keys alone are the log's preamble. */
function preambleOf(table: JsonPart): Readonly<Record<string, unknown>> {
  const notes = table.key('notes');
  const values: Record<string, unknown> = {};
  for (const note of notes.isList() ? notes.items() : [notes]) {
    const parsed = note.isMap() ? preambleValues().safeParse(note.value) : undefined;
    if (parsed?.success === true) Object.assign(values, parsed.data);
  }
  return values;
}
