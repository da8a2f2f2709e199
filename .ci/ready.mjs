// Makes a fresh clone ready: installs the pinned packages where they are missing or of another lockfile, Node.js major or
// platform, then builds. Everything it and npm print goes to standard error, so that `npm start` keeps standard output clean.
import { createHash } from 'node:crypto';
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const stampFile = join(root, 'node_modules', '.damper-ready');
const major = Number(process.versions.node.split('.')[0]);
if (major < 20) {
  process.stderr.write(
    `Node.js 20 or newer is needed; this is ${process.version}. Install it and run the command again.\n`,
  );
  process.exit(2);
}
const lock = createHash('sha256')
  .update(readFileSync(join(root, 'package-lock.json')))
  .digest('hex');
const stamp = `${lock} node${major} ${process.platform}-${process.arch}`;

function run(what, command, args) {
  const done = spawnSync(command, args, { cwd: root, stdio: ['ignore', 2, 2], shell: process.platform === 'win32' });
  if (done.status !== 0) {
    process.stderr.write(`${what} failed${done.error ? `: ${done.error.message}` : ` with status ${done.status}`}.\n`);
    process.exit(1);
  }
}

if (!existsSync(stampFile) || readFileSync(stampFile, 'utf8') !== stamp) {
  process.stderr.write('Installing the pinned packages (once) ...\n');
  run('Installing packages', 'npm', [
    'ci',
    '--include=dev',
    '--include=optional',
    '--ignore-scripts',
    '--no-audit',
    '--no-fund',
  ]);
  writeFileSync(stampFile, stamp);
}
run('Building', process.execPath, [join(root, 'build.mjs')]);
