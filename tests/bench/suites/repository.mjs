import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { inTurn, root, runEntry, withFolder } from '../measure.mjs';

const RESULTS = 2000;
const COMMITS = 500;
const CHANGED = 'dampers/05-007/build-1/run-1.result.csv';

/**
 * Commands over repositories of 2,000 results and 500 commits, each a process of its own from its start to its end. Each test runs through
 * fifteen speeds at every setting of its damper, which is what the limits are of; in the second repository through twelve at two, as a delivery
 * test does: little to read, so that code which V8 meets for the first time is most of a cold check, which is over the limit there.
 */
export async function run(report, { rounds }) {
  const built = spawnSync(process.execPath, ['build.mjs'], { cwd: root, encoding: 'utf8' });
  if (built.status !== 0) throw new Error(`The build failed: ${built.stderr}`);
  await measure(report, rounds, 'every-setting', '');
  await measure(report, rounds, 'two-settings', ', two settings');
}

async function measure(report, rounds, plan, of) {
  await withFolder((folder) => {
    const repository = join(folder, 'repository');
    const list = join(folder, 'concerned.txt');
    const cache = join(folder, 'cache');
    runEntry('writeReviewRepository', repository, String(RESULTS), String(COMMITS), list, plan);
    const product = (...words) => timed(() => review(repository, cache, words));
    const cold = () => {
      rmSync(cache, { recursive: true, force: true });
      return product('check', '--fail-on', 'never');
    };
    const check = inTurn([cold, () => timed(() => runEntry('parseTables', repository))], rounds, 'milliseconds');
    tell(report, `cold check over Node.js start, reading and csv-parse of the same files${of}`, check, 2);
    product('check', '--fail-on', 'never');
    const second = () => {
      edit(join(repository, CHANGED));
      return product('check', '--fail-on', 'never');
    };
    const again = inTurn([second, () => timed(() => runEntry('walkTree', repository))], rounds, 'milliseconds');
    tell(report, `second check after one change over Node.js start, walk and stat${of}`, again, 2);
    spawnSync('git', ['checkout', '--quiet', '.'], { cwd: repository });
    const branch = () => {
      rmSync(cache, { recursive: true, force: true });
      return product('changes', '--base', 'main', '--fail-on', 'never');
    };
    const changes = inTurn(
      [branch, () => timed(() => runEntry('parseTables', repository, 'main', list))],
      rounds,
      'milliseconds',
    );
    tell(report, `changes over Node.js start, git diff --stat and csv-parse of what it concerns${of}`, changes, 3);
  });
}

function tell(report, what, [measured, baseline], most) {
  report.line(what, measured / baseline, most, `${measured.toFixed(0)} ms; ${baseline.toFixed(0)} ms`);
}

function timed(work) {
  const start = performance.now();
  work();
  return { milliseconds: performance.now() - start };
}

function review(repository, cache, words) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [join(root, 'dist/damper-review.cjs'), ...words], {
    cwd: repository,
    encoding: 'utf8',
    maxBuffer: 1 << 28,
    env: { ...process.env, XDG_CACHE_HOME: cache },
  });
  if (status !== 0 || stdout.length < 1000) throw new Error(`${words.join(' ')} failed (${status}): ${stderr}`);
}

/** Another force in the first row of a result. */
function edit(file) {
  if (!existsSync(file)) throw new Error(`${file} is not there: the bench's repository has changed.`);
  const text = readFileSync(file, 'utf8');
  const changed = text.replace(
    /^(\d+,\d+,)([\d.]+)/mu,
    (_, before, force) => `${before}${(Number(force) + 0.1).toFixed(1)}`,
  );
  if (changed === text) throw new Error('Nothing was edited.');
  writeFileSync(file, changed);
}
