/*
 * npm run bench [-- SUITE...] [--rounds N]
 * Prints ratios against baselines of the same run; leaves with 1 where one is over its limit. Not part of npm test: times
 * depend on the machine and on what else it does. A suite is a file of tests/bench/suites that exports `run(report, options)`.
 */
import { readdirSync } from 'node:fs';
import { bundleEntries, Report } from './measure.mjs';

const values = process.argv.slice(2);
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

await bundleEntries();
const report = new Report();
for (const name of suites) {
  if (values.length > 0 && !values.includes(name)) continue;
  console.log(`\n${name}, ${rounds} rounds, medians`);
  const { run } = await import(new URL(`${name}.mjs`, folder).href);
  await run(report, { rounds });
}
process.exit(report.over > 0 ? 1 : 0);
