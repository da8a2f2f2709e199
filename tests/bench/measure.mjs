/* What every suite of the bench shares: measurements in processes of their own, taken in turn, told as ratios of medians. */
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { build } from 'esbuild';

export const root = new URL('../../', import.meta.url).pathname;
const bundles = join(root, 'build/bench');

/** Bundles every entry of tests/bench/entries to plain JavaScript, as the product is bundled. */
export async function bundleEntries() {
  mkdirSync(bundles, { recursive: true });
  const folder = join(root, 'tests/bench/entries');
  await build({
    absWorkingDir: root,
    entryPoints: readdirSync(folder).map((name) => join(folder, name)),
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: ['node20'],
    outdir: bundles,
    outExtension: { '.js': '.mjs' },
    logLevel: 'warning',
    banner: {
      js: "import { createRequire as requireForBundle } from 'node:module'; const require = requireForBundle(import.meta.url);",
    },
  });
}

/** A folder of the bench's own, gone when `use` is done. */
export async function withFolder(use) {
  const folder = mkdtempSync(join(tmpdir(), 'damper-bench-'));
  try {
    return await use(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Runs one entry in a process of its own and returns what it prints: { milliseconds, peakBytes, ... }. */
export function runEntry(entry, ...values) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [join(bundles, `${entry}.mjs`), ...values], {
    encoding: 'utf8',
    maxBuffer: 1 << 26,
  });
  if (status !== 0) throw new Error(`${basename(entry)} failed (${status}): ${stderr}`);
  return JSON.parse(stdout);
}

/** Runs several measurements in turn, `rounds` times, and returns the medians of one of their numbers. */
export function inTurn(measurements, rounds, key) {
  const values = measurements.map(() => []);
  for (let round = 0; round < rounds; round++) {
    measurements.forEach((measure, index) => values[index].push(measure()[key]));
  }
  return values.map(median);
}

export function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** Gathers lines of the report, and whether any is over its limit. */
export class Report {
  over = 0;

  /** One measured figure against the most it may be. */
  line(what, value, most, detail = '') {
    const within = value <= most;
    if (!within) this.over++;
    const shown = value < 10 ? value.toFixed(3) : value.toFixed(0);
    console.log(
      `${within ? 'within' : 'OVER  '}  ${shown.padStart(7)} of at most ${String(most).padEnd(6)}  ${what}${detail === '' ? '' : `  (${detail})`}`,
    );
  }
}
