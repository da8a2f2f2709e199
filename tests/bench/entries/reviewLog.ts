/* A log in memory through reading, reduction and all analysis of its run. */
import { readFileSync } from 'node:fs';
import { analyse, piecesOf } from '../shared/benchLog';
import { tell } from '../shared/outcome';

const bytes = readFileSync(process.argv[2]!);
const start = performance.now();
const { rows, steps } = await analyse(() => piecesOf(bytes));
tell({ milliseconds: performance.now() - start, rows, steps });
