// Computes the committed SciPy outputs again and fails on any difference; `--write` writes them instead. Each script of this
// folder prints one JSON document; NAME.json keeps it beside the SHA-256 of the script that made it.
import { createHash } from 'node:crypto';
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const folder = import.meta.dirname ?? new URL('.', import.meta.url).pathname;
const python = existsSync('/usr/bin/python3') ? '/usr/bin/python3' : 'python3';
/** Processors round the last bits of sums differently: what is the same algorithm agrees to this. */
const RELATIVE = 1e-12;

function differs(a, b, path = '') {
  if (typeof a === 'number' && typeof b === 'number') return Math.abs(a - b) <= RELATIVE * Math.max(Math.abs(a), Math.abs(b), 1e-9) ? undefined : `${path}: ${a} against ${b}`;
  if (a !== null && b !== null && typeof a === 'object' && typeof b === 'object') {
    for (const key of new Set([...Object.keys(a), ...Object.keys(b)])) {
      const found = differs(a[key], b[key], `${path}/${key}`);
      if (found) return found;
    }
    return undefined;
  }
  return a === b || path === '/scipy' ? undefined : `${path}: ${String(a)} against ${String(b)}`;
}

let failed = false;
for (const script of readdirSync(folder).filter((name) => name.endsWith('.py')).sort()) {
  const source = readFileSync(join(folder, script));
  const hash = createHash('sha256').update(source).digest('hex');
  const done = spawnSync(python, [join(folder, script)], { encoding: 'utf8', maxBuffer: 256 * 1024 * 1024 });
  if (done.status !== 0) {
    console.error(`${script} did not run: ${done.error?.message ?? done.stderr}`);
    process.exit(1);
  }
  const file = join(folder, script.replace(/\.py$/, '.json'));
  const values = JSON.parse(done.stdout);
  if (process.argv.includes('--write')) {
    writeFileSync(file, `${JSON.stringify({ script: hash, values }, undefined, 1)}\n`);
    continue;
  }
  const committed = JSON.parse(readFileSync(file, 'utf8'));
  const reason = committed.script === hash ? differs(committed.values, values) : 'the script changed since it was run';
  if (reason) {
    failed = true;
    console.error(`${script}: ${reason}`);
  } else console.log(`${script}: the committed values stand (SciPy ${values.scipy ?? 'unknown'}).`);
}
process.exit(failed ? 1 : 0);
