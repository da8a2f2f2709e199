import { inTurn, runEntry } from '../measure.mjs';

const MANY = 5000;
/** As src/server/server.ts has it by default. */
const QUIET = 120;

/** From a keystroke in a result to its diagnostics: a large repository over one with a single result. */
export async function run(report, { rounds }) {
  const few = Math.min(rounds, 3); // filling the large repository takes a minute
  const [bareMany, bareOne] = inTurn(
    [() => runEntry('serverEdit', String(MANY), '0'), () => runEntry('serverEdit', '1', '0')],
    few,
    'milliseconds',
  );
  report.line(
    `change to diagnostics, ${MANY} results over one, without the quiet time`,
    bareMany / bareOne,
    2,
    `${bareMany.toFixed(1)} ms, ${bareOne.toFixed(1)} ms`,
  );
  report.line(`the same with the quiet time of ${QUIET} ms before a review`, (bareMany + QUIET) / (bareOne + QUIET), 2);
}
