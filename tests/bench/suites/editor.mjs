import { spawnSync } from 'node:child_process';
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { inTurn, root, runEntry, withFolder } from '../measure.mjs';
import { activationTimes } from '../shared/activation.mjs';
import { bytesRead, LARGE_LOG, lengthen, PREAMBLE, typeKeys, withEditor } from '../shared/typing.mjs';

const LARGE_BYTES = 300_000_000;
const KEYS = 20;

/** The packed extension: its size, what waking it costs, and typing in a real editor while a large log is read. */
export async function run(report, { rounds }) {
  const packed = spawnSync('npm', ['run', 'package', '--silent'], { cwd: root, encoding: 'utf8' });
  if (packed.status !== 0) throw new Error(packed.stdout + packed.stderr);
  const megabytes = (path) => statSync(join(root, path)).size / 1e6;
  report.line('MB of the packed extension', megabytes('build/damper-spec-review.vsix'), 1.6);
  report.line('MB of the bundle of the pages', megabytes('dist/webview/page.js'), 0.9);
  waking(report, rounds);
  await withFolder((folder) => wakingInEditor(report, folder, Math.min(rounds, 5)));
  await withFolder((folder) => typing(report, folder, Math.min(rounds, 5)));
}

function waking(report, rounds) {
  const [awake, answer, bare] = inTurn(
    [
      () => runEntry('activation', join(root, 'dist/extension.cjs')),
      () => runEntry('serverAnswer', join(root, 'dist/server.mjs')),
      () => runEntry('serverAnswer'),
    ],
    rounds,
    'milliseconds',
  );
  const start = `a bare Node.js starts in ${bare.toFixed(0)} ms`;
  report.line(
    'loading and activating without a file of ours, over a start of Node.js',
    awake / bare,
    1,
    `${awake.toFixed(1)} ms; ${start}`,
  );
  report.line(
    'from starting the server to its first answer, over a start of Node.js',
    answer / bare,
    5,
    `${answer.toFixed(0)} ms`,
  );
}

/** The editor gives whole milliseconds, so that its figures are added up over all windows before they are divided. */
async function wakingInEditor(report, folder, rounds) {
  const times = await activationTimes(root, folder, rounds);
  const sum = (name) => times.reduce((total, time) => total + time[name], 0);
  const [ours, idle] = [sum('ours'), Math.max(sum('idle'), rounds)];
  report.line(
    'loading and activating in a real editor, by its own list, over an extension that does nothing',
    ours / idle,
    25,
    `${rounds} windows: ours ${times.map((time) => time.ours).join(', ')} ms, idle ${times.map((time) => time.idle).join(', ')} ms`,
  );
}

/** Rounds of idle typing and of typing while the log is read, in turn, in one window. */
async function typing(report, folder, rounds) {
  await withEditor(root, folder, async ({ page, repository, server }) => {
    await typeKeys(page, KEYS); // the first keys of a window load and compile
    const idle = [];
    const loaded = [];
    let read = 0;
    runEntry('writeLargeLog', join(folder, 'large'), String(LARGE_BYTES), ...PREAMBLE);
    for (let round = 0; round < rounds; round++) {
      idle.push(...(await typeKeys(page, KEYS)));
      if (round === 0) spawnSync('mv', [join(folder, 'large'), join(repository, LARGE_LOG)]);
      else lengthen(repository);
      const before = bytesRead(server);
      await page.waitForTimeout(1500); // the watcher's delay
      loaded.push(...(await typeKeys(page, KEYS)));
      const now = bytesRead(server) - before;
      if (now < LARGE_BYTES / 2)
        throw new Error(`The log was hardly read while typing (${now} bytes): nothing was measured.`);
      read += now;
      await untilQuiet(page, server);
    }
    const [slow, fast] = [p95(loaded), p95(idle)];
    report.line(
      'keystroke to screen while a log of 300 MB is read, over idle, p95',
      slow / fast,
      1.5,
      `${slow.toFixed(1)} ms, ${fast.toFixed(1)} ms; ${(read / 1e9).toFixed(1)} GB read`,
    );
  });
}

async function untilQuiet(page, server) {
  for (let last = -1; last !== bytesRead(server);) {
    last = bytesRead(server);
    await page.waitForTimeout(3000);
  }
}

function p95(values) {
  return [...values].sort((a, b) => a - b)[Math.ceil(0.95 * values.length) - 1];
}
