import { join } from 'node:path';
import { inTurn, median, runEntry, withFolder } from '../measure.mjs';

const MEGABYTE = 1e6;

/** The log reader and the analysis of one log, against csv-parse on the same bytes; memory above a bare Node.js. */
export async function run(report, { rounds }) {
  await withFolder((folder) => {
    const log = join(folder, 'bench.testlog.csv');
    const { bytes, rows } = runEntry('writeBenchLog', log, '1000000');
    const baseline = () => runEntry('parseWithCsvParse', log);
    const [read, review, parse] = inTurn(
      [() => runEntry('readLog', log), () => runEntry('reviewLog', log), baseline],
      rounds,
      'milliseconds',
    );
    const size = `${rows} rows, ${(bytes / MEGABYTE).toFixed(1)} MB, csv-parse ${parse.toFixed(0)} ms`;
    report.line('reading into typed columns over csv-parse', read / parse, 0.08, `${read.toFixed(0)} ms; ${size}`);
    report.line('reading and all analysis over csv-parse', review / parse, 0.35, `${review.toFixed(0)} ms`);
    reportMemory(report, 'MB above bare Node.js: that log, streamed from disk', 200, Math.min(rounds, 3), () =>
      runEntry('streamLog', log),
    );
    reportMemory(report, 'MB above bare Node.js: a log of 1 GB', 400, 1, () => runEntry('streamEndless', '1000000000'));
  });
}

function reportMemory(report, what, most, rounds, measure) {
  const bare = median(Array.from({ length: rounds }, () => runEntry('bare').peakBytes));
  const results = Array.from({ length: rounds }, measure);
  const above = median(results.map((result) => result.peakBytes)) - bare;
  const { rows, milliseconds, steps } = results[0];
  report.line(what, above / MEGABYTE, most, `${rows} rows, ${steps} steps, ${(milliseconds / 1000).toFixed(1)} s`);
}
