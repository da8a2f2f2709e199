/* The baseline: csv-parse on the whole log, without options. */
import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { tell } from '../shared/outcome';

const bytes = readFileSync(process.argv[2]!);
const start = performance.now();
const rows = parse(bytes).length - 1;
tell({ milliseconds: performance.now() - start, rows });
