/* A log in memory into typed columns, all of which are kept. */
import { readFileSync } from 'node:fs';
import { openTestLog } from '../../../src/files/log/openTestLog';
import type { LogChunk } from '../../../src/files/testLog';
import { piecesOf } from '../shared/benchLog';
import { tell } from '../shared/outcome';

const bytes = readFileSync(process.argv[2]!);
const start = performance.now();
const log = await openTestLog({ file: 'bench.testlog.csv', open: () => piecesOf(bytes) });
const chunks: LogChunk[] = [];
for await (const chunk of log.chunks()) chunks.push(chunk);
const rows = chunks.reduce((sum, chunk) => sum + chunk.rows, 0);
tell({ milliseconds: performance.now() - start, rows });
