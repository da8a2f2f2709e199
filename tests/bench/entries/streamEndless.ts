/* A log of so many bytes that never stands on disk: one staircase after the other, time going on. For its memory. */
import { analyse, repeatedStaircases } from '../shared/benchLog';
import { tell } from '../shared/outcome';

const start = performance.now();
const { rows, steps } = await analyse(() => repeatedStaircases(Number(process.argv[2])));
tell({ milliseconds: performance.now() - start, rows, steps });
