/*
 * npm run bench [-- SUITE...] [--rounds N] [--bare]
 * Prints ratios against baselines of the same run; leaves with 1 where one is over its limit. Not part of npm test: times
 * depend on the machine and on what else it does. A suite is a file of tests/bench/suites that exports `run(report, options)`.
 */
import { spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { bundleEntries, inTurn, Report } from './measure.mjs';

const values = process.argv.slice(2);
const isBare = values.includes('--bare');
if (isBare) values.splice(values.indexOf('--bare'), 1);
const at = values.indexOf('--rounds');
const rounds = at < 0 ? 7 : Number(values.splice(at, 2)[1]);
if (!Number.isInteger(rounds) || rounds < 1) {
  console.error('--rounds takes a whole number from 1.');
  process.exit(2);
}
const folder = new URL('./suites/', import.meta.url);
const suites = readdirSync(folder).map((name) => name.replace(/\.mjs$/, ''));
const unknown = values.filter((name) => !suites.includes(name));
if (unknown.length > 0) {
  console.error(`No suite ${unknown.join(', ')}; there are ${suites.join(', ')}.`);
  process.exit(2);
}

tellStart(isBare);
await bundleEntries();
const report = new Report();
for (const name of suites) {
  if (values.length > 0 && !values.includes(name)) continue;
  console.log(`\n${name}, ${rounds} rounds, medians`);
  const { run } = await import(new URL(`${name}.mjs`, folder).href);
  await run(report, { rounds });
}
process.exit(report.over > 0 ? 1 : 0);

/**
 * Where a machine adds certificates to Node's own, each start of Node.js reads them: time that both sides of a ratio bear. `--bare` measures
 * without them.
 */
function tellStart(isBare) {
  if (process.env.NODE_EXTRA_CA_CERTS === undefined) return;
  const bare = { ...process.env };
  delete bare.NODE_EXTRA_CA_CERTS;
  const start = (env) => () => {
    const from = performance.now();
    spawnSync(process.execPath, ['-e', '0'], { env });
    return { milliseconds: performance.now() - from };
  };
  const [whole, less] = inTurn([start(process.env), start(bare)], 9, 'milliseconds').map((ms) => ms.toFixed(0));
  if (isBare) delete process.env.NODE_EXTRA_CA_CERTS;
  console.log(
    `Node.js starts in ${whole} ms here, in ${less} ms without NODE_EXTRA_CA_CERTS${isBare ? ', which is left out' : '; --bare leaves it out'}.`,
  );
}
