import { appendFileSync, closeSync, mkdirSync, openSync, readFileSync, readSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';
import { gunzipSync } from 'node:zlib';

export const LARGE_BYTES = 300_000_000;
const SAMPLE = 'samples/dampers/F-002/build-2/delivery.testlog.csv.gz';

/**
 * Writes a log of 300 MB of another unit: between every two rows of a sample as many more as it takes, on the straight line between them.
 * @returns rows for one of the sample
 */
export function writeLargeLog(path: string): number {
  mkdirSync(dirname(path), { recursive: true });
  const lines = gunzipSync(readFileSync(SAMPLE)).toString().trimEnd().split('\n');
  const start = lines.findIndex((line) => line.startsWith('time'));
  const rows = lines.slice(start + 1).map((line) => line.split(',').map(Number));
  const often = Math.ceil(LARGE_BYTES / (rows.length * BYTES_OF_ROW));
  const file = openSync(path, 'w');
  const head = lines.slice(0, start + 1).join('\n');
  writeSync(file, `${head.replace('F-002', 'F-009').replace('build: 2', 'build: 1')}\n`);
  rows.forEach((row, i) => {
    const next = rows[i + 1];
    let block = '';
    for (let part = 0; part < (next === undefined ? 1 : often); part++) {
      const cells = row.map((value, column) =>
        (value + (((next?.[column] ?? value) - value) * part) / often).toFixed(DIGITS[column]),
      );
      block += `${cells.join(',')}\n`;
    }
    writeSync(file, block);
  });
  closeSync(file);
  return often;
}
/** A row more, and the log is another one. @param count how many were appended before */
export function appendRow(path: string, count: number): void {
  appendFileSync(path, `${(100 + 0.002 * count).toFixed(6)},-20.0000,0.00,369.50,30.90\n`);
}
/** Behind the point: time, displacement, velocity, force, temperature. */
const DIGITS = [6, 4, 2, 2, 2];
/** A few less than the rows have, so that the file is not too small. */
const BYTES_OF_ROW = 37;

/** What the whole log holds of the cycles of one peak velocity. */
export interface ForcesOfSpeed {
  /** Mean force near the peak velocity of either side [N]. */
  readonly compression: number;
  readonly rebound: number;
  /** Largest and smallest sample [N]. */
  readonly most: number;
  readonly least: number;
  /**
   * How far single samples may reach beyond a mean of cycles [N]: five standard deviations of a sample, which are seven of the values here, since
   * those on the line between two samples scatter less.
   */
  readonly noise: number;
}

/**
 * Reads the whole file once, row by row, with a reader of its own, and gives forces by peak velocity [mm/s, rounded to 5]. A cycle goes from one
 * turn at the lower end of the stroke to the next; nothing of the product is used. @param often rows from one sample to the next
 */
export function forcesBySpeed(path: string, often: number): ReadonlyMap<number, ForcesOfSpeed> {
  const steps = new Map<number, Sums>();
  let cycle: Cycle = { velocity: [], force: [] };
  const close = (): void => {
    const most = cycle.velocity.reduce((a, b) => Math.max(a, b), 0);
    const least = cycle.velocity.reduce((a, b) => Math.min(a, b), 0);
    const peak = Math.max(most, -least);
    const speed = Math.round(peak / 5) * 5;
    const isWhole = Math.min(most, -least) > 0.95 * peak;
    if (isWhole && speed > 0) steps.set(speed, add(steps.get(speed) ?? nothing(), cycle, peak, often));
    cycle = { velocity: [], force: [] };
  };
  eachRow(path, (velocity, force) => {
    if ((cycle.velocity.at(-1) ?? 0) < 0 && velocity >= 0) close();
    cycle.velocity.push(velocity);
    cycle.force.push(force);
  });
  close();
  return new Map([...steps].sort(([a], [b]) => a - b).map(([speed, sums]) => [speed, meansOf(sums)]));
}

/** A number of each a row. */
interface Cycle {
  readonly velocity: number[];
  readonly force: number[];
}

interface Sums {
  readonly near: Readonly<Record<'compression' | 'rebound', { sum: number; count: number }>>;
  most: number;
  least: number;
  squares: number;
  differences: number;
}

function nothing(): Sums {
  return {
    near: { compression: { sum: 0, count: 0 }, rebound: { sum: 0, count: 0 } },
    most: -Infinity,
    least: Infinity,
    squares: 0,
    differences: 0,
  };
}

function add(sums: Sums, { velocity, force }: Cycle, peak: number, often: number): Sums {
  for (let i = 0; i < force.length; i++) {
    const at = force[i]!;
    sums.most = Math.max(sums.most, at);
    sums.least = Math.min(sums.least, at);
    if (Math.abs(velocity[i]!) < 0.99 * peak) continue;
    const side = sums.near[velocity[i]! > 0 ? 'compression' : 'rebound'];
    side.sum += at;
    side.count += 1;
    const [before, after] = [force[i - often], force[i + often]];
    if (before === undefined || after === undefined) continue;
    sums.squares += (at - (before + after) / 2) ** 2;
    sums.differences += 1;
  }
  return sums;
}

function meansOf({ near: { compression, rebound }, most, least, squares, differences }: Sums): ForcesOfSpeed {
  // A value less the mean of its neighbours has one and a half times the variance of a value.
  const deviation = Math.sqrt(squares / differences / 1.5);
  return {
    compression: compression.sum / compression.count,
    rebound: rebound.sum / rebound.count,
    most,
    least,
    noise: 7 * deviation,
  };
}

const [COMMA, NEWLINE, DOT, MINUS, ZERO, NINE] = [44, 10, 46, 45, 48, 57];
const [VELOCITY, FORCE] = [2, 3];

/** Velocity and force of every row of numbers [mm/s, N]. */
function eachRow(path: string, take: (velocity: number, force: number) => void): void {
  const file = openSync(path, 'r');
  const chunk = Buffer.alloc(1 << 22);
  let [column, value, scale, sign, isNumber] = [0, 0, 0, 1, false];
  const row = [NaN, NaN, NaN, NaN];
  const cell = (): void => {
    row[column] = isNumber ? (sign * value) / (scale === 0 ? 1 : scale) : NaN;
    [value, scale, sign, isNumber] = [0, 0, 1, false];
  };
  for (let read = readSync(file, chunk); read > 0; read = readSync(file, chunk))
    for (let i = 0; i < read; i++) {
      const byte = chunk[i]!;
      if (byte >= ZERO && byte <= NINE) {
        value = 10 * value + (byte - ZERO);
        scale *= 10;
        isNumber = true;
      } else if (byte === DOT) scale = 1;
      else if (byte === MINUS) sign = -1;
      else if (byte === COMMA) {
        cell();
        column += 1;
      } else if (byte === NEWLINE) {
        cell();
        if (column === 4 && Number.isFinite(row[VELOCITY]) && Number.isFinite(row[FORCE]))
          take(row[VELOCITY]!, row[FORCE]!);
        column = 0;
      }
    }
  closeSync(file);
}
