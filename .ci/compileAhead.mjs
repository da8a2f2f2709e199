// compileAhead.mjs BUNDLE COMPILED: has the command line review the samples twice, the second time from what the first one kept, a branch
// of them once, and tables of them before and after an edit, and writes what V8 compiled on the way, so that a start need not compile it again.
// src/cli/start.ts reads it.
import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { Script } from 'node:vm';

const [bundle, compiled] = process.argv.slice(2).map((file) => resolve(file));
const started = resolve('dist/damper-review.cjs');
// Not below the project: nothing is kept in the work tree of a repository that is reviewed.
const folder = mkdtempSync(join(tmpdir(), 'damper-compile-ahead-'));
for (const name of ['XDG_CACHE_HOME', 'LOCALAPPDATA', 'HOME']) process.env[name] = folder;
const script = new Script(readFileSync(bundle, 'latin1'), { filename: bundle });
// Code of functions that are called but once must still be there at the end. V8 compares flags when it takes the code, so the flag goes back.
setFlagsFromString('--no-flush-bytecode');
process.on('exit', () => {
  process.chdir('/'); // Windows removes no folder that a process stands in
  rmSync(folder, { recursive: true, force: true });
  setFlagsFromString('--flush-bytecode');
  writeFileSync(compiled, script.createCachedData());
});
const { entries } = script.runInThisContext()(createRequire(started), pathToFileURL(started));
for (let run = 0; run < 2; run++) await review(['check', 'samples']);
process.chdir(branchOfSamples());
await review(['changes', '--base', 'main']);
await reviewEdits();

async function review(words) {
  process.argv = [process.execPath, started, ...words, '--fail-on', 'never'];
  await entries.main();
}

/** A review that keeps, and two after edits. Where all files were written within the last two seconds nothing is kept. */
async function reviewEdits() {
  await delay(2100);
  await review(['check']);
  for (let edit = 0; edit < 2; edit++) {
    alterRow('dampers/F-003/build-2/delivery.result.csv');
    await review(['check']);
  }
}

/** A repository of the samples' tables whose branch moves a reference and alters a result. @returns its folder */
function branchOfSamples() {
  const repository = join(folder, 'repository');
  cpSync('samples', repository, { recursive: true, filter: (path) => !path.includes('.testlog.') });
  git(repository, 'init', '--quiet', '--initial-branch', 'main');
  commitAll(repository, 'Base');
  git(repository, 'switch', '--quiet', '--create', 'branch');
  for (const table of ['specs/larch-rear.refcurve.csv', 'dampers/F-001/build-1/delivery-run-1.result.csv'])
    alterRow(join(repository, table));
  commitAll(repository, 'Branch');
  return repository;
}

/** Another force in the first row of a table. */
function alterRow(file) {
  const before = readFileSync(file, 'utf8');
  const after = before.replace(
    /^(\d+,[^#\n]*?)(\d)(?=\.\d)/mu,
    (_, start, digit) => `${start}${(Number(digit) + 1) % 10}`,
  );
  if (after === before) throw new Error(`${file} has no row to alter.`);
  writeFileSync(file, after);
}

function commitAll(repository, message) {
  git(repository, 'add', '--all');
  git(repository, 'commit', '--quiet', '--message', message);
}

function git(repository, ...words) {
  const settings = [
    'user.name=build',
    'user.email=build@localhost',
    'commit.gpgSign=false',
    `core.hooksPath=${folder}`,
  ];
  const env = { ...process.env, GIT_CONFIG_NOSYSTEM: '1', GIT_CONFIG_GLOBAL: join(folder, 'none') };
  const done = spawnSync('git', [...settings.flatMap((setting) => ['-c', setting]), '-C', repository, ...words], {
    env,
    encoding: 'utf8',
  });
  if (done.status !== 0) throw new Error(`git ${words[0]}: ${done.error?.message ?? done.stderr}`);
}
