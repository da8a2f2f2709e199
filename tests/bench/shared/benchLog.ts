import { analyseRun } from '../../../src/analysis/analyseRun';
import { reduceLog } from '../../../src/analysis/reduceLog';
import { openTestLog } from '../../../src/files/log/openTestLog';
import { createRandom } from '../../simulator/random';
import { randomDamper, randomPlan } from '../../simulator/randomCases';
import { type BenchRun, runBench } from '../../simulator/runBench';

export const HEADER = 'time [s],displacement [mm],velocity [mm/s],force [N],temperature [Cel]\n';
/** As Node.js reads files. */
const PIECE = 65_536;

/** A staircase up and down: 25 mm/s to 1.5 m/s over 50 mm at 5 kHz, seven cycles a step, a little over a million rows. */
export function simulatedStaircase(): BenchRun {
  const random = createRandom(2026);
  const up = [0.025, 0.05, ...Array.from({ length: 15 }, (_, step) => (step + 1) / 10)];
  const { plan, bench } = randomPlan(random, {
    drive: 'sine',
    stroke: 0.05,
    velocities: [...up, ...up.toReversed()],
    cycles: 7,
    sampleRate: 5000,
    forceNoise: 5,
    velocityChannel: true,
    dwell: 'hold',
    startPhase: 0,
  });
  return runBench(randomDamper(random), plan, bench, { seed: 1 });
}

/** Rows `from` to `to` as text, `later` seconds later than simulated. */
export function rowsOf(run: BenchRun, from: number, to: number, later: number): string {
  const lines: string[] = [];
  for (let row = from; row < Math.min(to, run.time.length); row++) {
    const time = (run.time[row]! + later).toFixed(4);
    const displacement = (run.displacement[row]! * 1000).toFixed(4);
    const velocity = (run.velocity![row]! * 1000).toFixed(3);
    const temperature = (run.temperature[row]! - 273.15).toFixed(1);
    lines.push(`${time},${displacement},${velocity},${run.force[row]!.toFixed(2)},${temperature}\n`);
  }
  return lines.join('');
}

/** One staircase after the other until there are so many bytes. */
export async function* repeatedStaircases(bytes: number): AsyncGenerator<Uint8Array> {
  await Promise.resolve();
  const run = simulatedStaircase();
  const encoder = new TextEncoder();
  yield encoder.encode(HEADER);
  const duration = run.time.at(-1)! + 1;
  let written = HEADER.length;
  for (let round = 0; ; round++) {
    for (let row = 0; row < run.time.length; row += 1600) {
      const piece = encoder.encode(rowsOf(run, row, row + 1600, round * duration));
      yield piece;
      written += piece.length;
      if (written >= bytes) return;
    }
  }
}

export async function* piecesOf(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  await Promise.resolve();
  for (let at = 0; at < bytes.length; at += PIECE) yield bytes.subarray(at, at + PIECE);
}

/** Reading, reduction and analysis of one log, as the session does them. */
export async function analyse(open: () => AsyncIterable<Uint8Array>): Promise<{ rows: number; steps: number }> {
  const log = await openTestLog({ file: 'bench.testlog.csv', open });
  const reduced = await reduceLog(() => log.chunks(), { adjusters: 0 });
  const analysis = analyseRun([reduced], {
    settings: [[]],
    kinds: ['staircase'],
    forceZero: 'unloaded',
    hardware: {},
  });
  if (analysis.points.length === 0) throw new Error('The log gave no points: nothing was measured.');
  return { rows: reduced.rows, steps: reduced.steps.length };
}
