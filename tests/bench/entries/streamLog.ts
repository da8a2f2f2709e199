/* A log streamed from disk through reading, reduction and all analysis: for its memory. */
import { createReadStream } from 'node:fs';
import { analyse } from '../shared/benchLog';
import { tell } from '../shared/outcome';

const start = performance.now();
const { rows, steps } = await analyse(() => createReadStream(process.argv[2]!) as AsyncIterable<Uint8Array>);
tell({ milliseconds: performance.now() - start, rows, steps });
