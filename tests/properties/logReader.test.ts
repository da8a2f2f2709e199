import { describe, expect, it } from 'vitest';
import { openTestLog } from '../../src/files/log/openTestLog';
import { FileFault } from '../../src/files/problem';
import type { LogChunk } from '../../src/files/testLog';
import { createRandom, type RandomSource } from '../simulator/random';
import { generateLog, type LogCase, randomPieces, type Wildness } from './logCases';
import { type LogContent, readByOracle } from './logOracle';
import { seedsOfRun } from './seeds';
import { thorough } from '../thorough';

const KINDS: readonly { readonly name: string; readonly share: number; readonly wildness: Wildness }[] = [
  { name: 'plain', share: 0.15, wildness: { spelling: 0, lines: 0, faults: 0, mutations: 0 } },
  { name: 'rare spellings', share: 0.25, wildness: { spelling: 0.3, lines: 0.05, faults: 0, mutations: 0 } },
  { name: 'a few faults', share: 0.3, wildness: { spelling: 0.05, lines: 0.1, faults: 0.04, mutations: 0 } },
  { name: 'mutated', share: 0.3, wildness: { spelling: 0.05, lines: 0.1, faults: 0.02, mutations: 0.02 } },
];
const CASES = thorough ? 100_000 : 2_000;
const LARGE_CASES = thorough ? 200 : 4;

async function readByReader(
  log: LogCase,
  random: RandomSource,
  longest: number,
  chunkRows?: number,
): Promise<LogContent> {
  const columns = new Map(log.columns.map((column) => [column.name, [] as number[]]));
  try {
    const opened = await openTestLog({
      file: 'case.testlog.csv',
      chunkRows,
      open: async function* () {
        await Promise.resolve();
        yield* randomPieces(random, log.bytes, longest);
      },
    });
    let rows = 0;
    for await (const chunk of opened.chunks()) {
      expect(chunk.firstRow).toBe(rows);
      rows += chunk.rows;
      for (const [name, values] of namedColumns(chunk, log)) {
        if (values.length !== chunk.rows) throw new Error(`${name} has ${values.length} of ${chunk.rows} rows`);
        columns.get(name)!.push(...values);
      }
    }
    const lines = Array.from({ length: rows }, (_, row) => opened.lineOfRow(row));
    return { columns, lines, problems: [] };
  } catch (error) {
    if (!(error instanceof FileFault)) throw error;
    return { columns, lines: [], problems: error.problems.map(spelledProblem) };
  }
}

function namedColumns(chunk: LogChunk, log: LogCase): [string, Float64Array][] {
  let adjuster = 0;
  return log.columns.map(({ name, role }) => [name, role === 'adjuster' ? chunk.adjusters[adjuster++]! : chunk[role]!]);
}

function spelledProblem(problem: FileFault['problems'][number]): string {
  const { rule, position, column, value } = problem;
  return `${rule} ${position.line}:${position.column}${column === undefined ? '' : ` ${value!}`}`;
}

/** Fails unless both agree: the same problems, or the same lines and the same doubles, bit for bit. */
function compare(reader: LogContent, oracle: LogContent, hint: string): void {
  expect(reader.problems, hint).toEqual(oracle.problems);
  if (oracle.problems.length > 0) return;
  expect(reader.lines, hint).toEqual(oracle.lines);
  for (const [name, values] of oracle.columns) {
    const read = reader.columns.get(name)!;
    const differs = values.findIndex((value, row) => !Object.is(value, read[row]));
    if (differs >= 0 || read.length !== values.length)
      throw new Error(`${hint}: ${name} row ${differs}: ${read[differs]} instead of ${values[differs]}`);
  }
}

function isReadAlike(log: LogCase, reader: LogContent): void {
  compare(reader, readByOracle(log), JSON.stringify(new TextDecoder().decode(log.bytes.subarray(0, 2000))));
}

describe.each(seedsOfRun(20260314))('the log reader equals csv-parse with Number() (seed %i)', (seed) => {
  it.each(KINDS)('on $name logs', async ({ share, wildness, name }) => {
    const random = createRandom(seed + name.length);
    let faulty = 0;
    const count = Math.round((CASES * share) / 2);
    for (let run = 0; run < count; run++) {
      const log = generateLog(random, random.integer(0, 40), wildness);
      const reader = await readByReader(log, random, random.pick([4, 30, 3000]), random.pick([undefined, 1, 2, 7]));
      isReadAlike(log, reader);
      if (reader.problems.length > 0) faulty++;
    }
    // The generator must make both kinds, else the comparison would show nothing.
    expect(faulty).toBeLessThan(count * (wildness.faults > 0 ? 0.95 : 0.3));
    if (wildness.faults > 0) expect(faulty).toBeGreaterThan(count * 0.2);
  });

  it('on long logs in pieces as files are read', async () => {
    const random = createRandom(seed);
    for (let run = 0; run < LARGE_CASES / 2; run++) {
      const rare = random.pick([0, 0.0002, 0.2]);
      const wildness = { spelling: rare, lines: rare, faults: random.pick([0, 0, 0.0002]), mutations: 0 };
      const log = generateLog(random, random.integer(2000, 6000), wildness);
      isReadAlike(
        log,
        await readByReader(log, random, random.pick([5000, 65_536, 1 << 20]), random.pick([undefined, 1000])),
      );
    }
  });
});
