/* Writes the simulated staircase that the other entries read: so many rows of five columns, no preamble. */
import { writeFileSync } from 'node:fs';
import { HEADER, rowsOf, simulatedStaircase } from '../shared/benchLog';
import { tell } from '../shared/outcome';

const rows = Number(process.argv[3]);
const text = HEADER + rowsOf(simulatedStaircase(), 0, rows, 0);
writeFileSync(process.argv[2]!, text);
tell({ rows: text.split('\n').length - 2, bytes: text.length });
