import { spawnSync } from 'node:child_process';
import {
  appendFileSync,
  copyFileSync,
  existsSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { Script } from 'node:vm';
import { expect, it } from 'vitest';
import { temporaryFolder } from '../platform/temporaryFolder';

const DIST = join(dirname(dirname(import.meta.dirname)), 'dist');
if (!existsSync(DIST)) throw new Error('dist/ is missing: run npm test, or npm run build first.');
const names = readdirSync(DIST);
const script = names.find((name) => /^command-line-\w+\.cjs$/u.test(name))!;
const compiled = script.replace('.cjs', '.compiled');
const { version } = JSON.parse(readFileSync(join(DIST, '../package.json'), 'utf8')) as { version: string };

/** What `--version` prints, from copies of the files with something done to them. */
function started(change: (folder: string) => void, ...flags: readonly string[]): string {
  const folder = temporaryFolder();
  for (const name of ['damper-review.cjs', script, compiled]) copyFileSync(join(DIST, name), join(folder, name));
  change(folder);
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [...flags, join(folder, 'damper-review.cjs'), '--version'],
    { encoding: 'utf8' },
  );
  return `${status} ${stdout.trim()}${stderr}`;
}

it('starts from the code that was compiled when it was built', () => {
  expect(existsSync(join(DIST, compiled))).toBe(true);
  const { cachedDataRejected } = new Script(readFileSync(join(DIST, script), 'latin1'), {
    cachedData: readFileSync(join(DIST, compiled)),
  });
  expect(cachedDataRejected).toBe(false);
  expect(started(() => undefined)).toBe(`0 ${version}`);
});

const CHANGES: Readonly<Record<string, (folder: string, code: string) => void>> = {
  absent: (_, code) => {
    rmSync(code);
  },
  'cut short': (_, code) => {
    truncateSync(code, 1000);
  },
  empty: (_, code) => {
    truncateSync(code, 0);
  },
  'something else': (_, code) => {
    writeFileSync(code, 'x'.repeat(100_000));
  },
  'of another source': (folder) => {
    appendFileSync(join(folder, script), '\n');
  },
};

it.each(Object.entries(CHANGES))('compiles by itself where that code is %s', (_, change) => {
  const changed = started((folder) => {
    change(folder, join(folder, compiled));
  });
  expect(changed).toBe(`0 ${version}`);
});

it('compiles by itself where V8 is given other flags', () => {
  expect(started(() => undefined, '--no-opt')).toBe(`0 ${version}`);
});
