import { describe, expect, it } from 'vitest';
import { readCsvw } from '../../src/files/readCsvw';
import { bytesOf, onlyProblem, told } from './support';

const FILE = 'incoming/x.csv-metadata.json';
const read = (value: unknown) =>
  readCsvw(FILE, bytesOf(typeof value === 'string' ? value : JSON.stringify(value, null, 2)));

const COLUMNS = [
  { titles: 'Zeit', name: 'time', unit: 's', datatype: { base: 'decimal', format: { decimalChar: ',' } } },
  { titles: ['Weg [mm]', 'travel'], name: 'displacement', 'schema:unitText': { '@value': 'mm' }, positive: 'rebound' },
  { titles: { de: 'Kraft', en: 'force' }, name: 'force', 'ex:unit': 'kN' },
  { titles: 'R', unit: 'click' },
  { titles: 'oil pressure', name: 'oil', unit: 'bar' },
  { titles: 'remark' },
  { name: 'row', virtual: true, unit: 'click' },
];
/** After the examples of the W3C recommendation "Metadata Vocabulary for Tabular Data" (2015), with a dialect and notes. */
const METADATA = {
  '@context': ['http://www.w3.org/ns/csvw', { '@language': 'en' }],
  url: 'x.csv',
  dialect: { delimiter: ';', skipRows: 2, encoding: 'utf-8' },
  notes: [{ spec: 'alder-front', serial: '017', build: 2 }, { type: 'a remark of another program' }],
  tableSchema: { columns: COLUMNS },
};

describe('readCsvw', () => {
  it('is a mapping of the log beside it', () => {
    const { mapping, problems } = read(METADATA);
    expect(problems).toEqual([]);
    expect(mapping).toEqual({
      file: FILE,
      keyPath: 'tableSchema',
      files: 'incoming/x.csv',
      delimiter: ';',
      decimal: ',',
      skipLines: 2,
      columns: [
        { role: 'time', header: 'Zeit', unit: 's', positive: 'compression' },
        { role: 'displacement', header: 'Weg [mm]', unit: 'mm', positive: 'rebound' },
        { role: 'force', header: 'Kraft', unit: 'kN', positive: 'compression' },
        { role: 'adjuster', id: 'R', header: 'R', unit: 'click', positive: 'compression' },
      ],
      preamble: { spec: 'alder-front', serial: '017', build: '2' },
    });
  });

  it('takes units from the titles and the table of a group', () => {
    const columns = [{ titles: 'time [s]' }, { titles: 'displacement [[in_i]]' }, { titles: 'force [lbf]' }];
    const { mapping } = read({ tables: [{ url: 'y.csv' }, { url: 'x.csv', tableSchema: { columns } }] });
    expect(mapping?.columns?.map(({ role, unit }) => [role, unit])).toEqual([
      ['time', 's'],
      ['displacement', '[in_i]'],
      ['force', 'lbf'],
    ]);
    expect(mapping).toMatchObject({ skipLines: 0, preamble: {} });
  });

  const withColumns = (change: (columns: Record<string, unknown>[]) => void) => {
    const columns = structuredClone(COLUMNS) as unknown as Record<string, unknown>[];
    change(columns);
    return { ...METADATA, tableSchema: { columns } };
  };

  it.each([
    [
      'another url',
      { ...METADATA, url: 'https://example.test/x.csv' },
      { line: 8, column: 3, key: 'url', value: 'https://example.test/x.csv', remedy: /Nothing is fetched/ },
    ],
    [
      'a schema elsewhere',
      { ...METADATA, tableSchema: 'https://example.test/schema.json' },
      { key: 'tableSchema', message: /lies elsewhere/, remedy: /nothing is fetched/ },
    ],
    ['a dialect elsewhere', { ...METADATA, dialect: 'dialect.json' }, { key: 'dialect', message: /lies elsewhere/ }],
    ['no schema', { url: 'x.csv' }, { message: /no tableSchema/ }],
    ['no columns', { tableSchema: {} }, { key: 'tableSchema.columns', message: /no list of columns/ }],
    ['no header row', { ...METADATA, dialect: { header: false } }, { key: 'dialect.header', message: /no header row/ }],
    [
      'another encoding',
      { ...METADATA, dialect: { encoding: 'latin1' } },
      { key: 'dialect.encoding', value: 'latin1' },
    ],
    ['another delimiter', { ...METADATA, dialect: { delimiter: '|' } }, { key: 'dialect.delimiter', value: '|' }],
    [
      'skipRows that is no number',
      { ...METADATA, dialect: { skipRows: 'many' } },
      { key: 'dialect.skipRows', value: 'many' },
    ],
    ['no force', withColumns((columns) => columns.splice(2, 1)), { key: 'tableSchema.columns', message: /'force'/ }],
    [
      'no unit',
      withColumns((columns) => delete columns[0]!['unit']),
      { rule: 'unit-mismatch', key: 'tableSchema.columns[0]', message: /no unit/ },
    ],
    [
      'unknown unit',
      withColumns((columns) => (columns[0]!['unit'] = 'sec')),
      { rule: 'unit-mismatch', message: /'sec'/, remedy: /'s'|Known/ },
    ],
    [
      'wrong dimension',
      withColumns((columns) => (columns[2]!['ex:unit'] = 'mm')),
      { rule: 'unit-mismatch', key: 'tableSchema.columns[2]', message: /not a unit for a force/ },
    ],
    ['no table of the group', { tables: [{ url: 'y.csv' }] }, { key: 'tables', message: /'x.csv'/ }],
    ['no JSON', '{ "url": ', { line: 1 }],
    [
      'a repeated key',
      '{ "url": "x.csv",\n "url": "y.csv" }',
      { line: 2, column: 2, value: 'url', message: /second time/ },
    ],
    ['an array', '[]', { message: /no tableSchema/ }],
    ['nesting without end', '{"a":'.repeat(50_000), { message: /too deeply/ }],
    ['nothing', '', { message: /empty/, rule: 'unreadable' }],
  ])('%s', (_, value, expected) => {
    const { mapping, problems } = read(value);
    expect(mapping).toBeUndefined();
    const fault = told(onlyProblem(problems));
    for (const [key, wanted] of Object.entries(expected)) {
      if (wanted instanceof RegExp) expect(fault[key], key).toMatch(wanted);
      else expect(fault[key], key).toEqual(wanted);
    }
    expect(String(fault['remedy']).length).toBeGreaterThan(10);
  });
});
