import { copyOfRow } from '../../src/files/forceRow';
import type { ForceTable } from '../../src/files/forceTable';
import { readForceTable } from '../../src/files/readForceTable';
import { writeForceTable } from '../../src/files/writeForceTable';
import { fixedClock, MemoryStore } from '../../src/platform/memory/memoryServices';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import type { Finding } from '../../src/review/finding';
import type { ReviewOutcome } from '../../src/review/judgedResult';
import { ReviewSession } from '../../src/session/reviewSession';
import type { SessionPorts } from '../../src/session/sessionPorts';
import { PERFECT_BENCH, type SimulatedBench } from '../simulator/bench';
import { kneeValve, type DamperFaults, type SimulatedDamper } from '../simulator/damper';
import { runBench, type BenchRun } from '../simulator/runBench';
import { toTestLogText } from '../simulator/testLogText';

/** A small invented workshop in memory: two specs, four dampers, one of them logged in a foreign layout. */
export const TODAY = '2026-05-01';

export const CONFIG = `formatVersion: 1
logs:
  - files: "incoming/**/*.csv"
    delimiter: ";"
    decimal: ","
    columns:
      time: { header: "t", unit: s }
      displacement: { header: "way", unit: mm }
      force: { header: "load", unit: N }
    preamble: { spec: alder-front, bench: bench-1, forceZero: unloaded, setting: { R: 4 } }
    fromPath: "incoming/{serial}/{build}/any.csv"
benches:
  bench-1: { loadCell: { U: 2 N }, displacementU: 0.02 mm }
`;

export function specText(id: string, relative = '5 %'): string {
  return `formatVersion: 1
id: ${id}
hardware: { piston: 40 mm, rod: 14 mm, stroke: 110 mm, gasPressure: 8 bar, gasVolume: 60 cm3 }
adjusters:
  R: { clicks: 10, acts: { side: rebound } }
test:
  velocities: [100 mm/s, 200 mm/s, 300 mm/s]
  stroke: 40 mm
tolerance:
  compression: { relative: ${relative}, absolute: 20 N }
  rebound: { relative: ${relative}, absolute: 20 N }
reference: ${id}.refcurve.csv
`;
}

const BENCH: SimulatedBench = { ...PERFECT_BENCH, sampleRate: 500, forceNoise: 2, displacementStep: 1e-5 };

/** @param reboundShare 1 for a healthy unit; 0.8 makes rebound a fifth softer */
function damper(reboundShare: number, faults: DamperFaults): SimulatedDamper {
  return {
    valves: {
      compression: kneeValve({ preload: 300, kneeSpeed: 0.1, slope: 500 }),
      rebound: kneeValve({ preload: 500 * reboundShare, kneeSpeed: 0.1, slope: 800 * reboundShare }),
    },
    gas: { rodDiameter: 0.014, pressure: 8e5, volume: 60e-6, exponent: 1.3 },
    friction: 15,
    frictionSpeed: 0.002,
    lag: 0.0002,
    adjusters: [],
    faults,
  };
}

function recorded(reboundShare: number, seed: number, faults: DamperFaults = {}): BenchRun {
  const steps = [0.1, 0.2, 0.3].map((velocity) => ({ velocity, stroke: 0.04, cycles: 4, setting: {} }));
  const plan = {
    drive: 'sine' as const,
    steps,
    midPosition: 0.05,
    dwell: { mode: 'hold' as const, duration: 0.2 },
    startPhase: 0,
    trailingPhase: 0,
  };
  return runBench(damper(reboundShare, faults), plan, BENCH, { seed });
}

export interface LogParts {
  readonly spec?: string;
  readonly serial: string;
  readonly build?: string;
  readonly date?: string;
  /** More preamble lines, without `# `. */
  readonly more?: readonly string[];
  readonly reboundShare?: number;
  readonly seed?: number;
  readonly faults?: DamperFaults;
}

export function logText(parts: LogParts): string {
  const {
    spec = 'alder-front',
    serial,
    build = '1',
    date = '2026-03-01T10:00:00Z',
    more = ['setting: {R: 4}'],
  } = parts;
  const preamble = [
    `spec: ${spec}`,
    `serial: ${serial}`,
    `build: ${build}`,
    `date: ${date}`,
    'bench: bench-1',
    'forceZero: unloaded',
    'midPosition: 50 mm',
    ...more,
  ];
  return toTestLogText(recorded(parts.reboundShare ?? 1, parts.seed ?? 1, parts.faults), { preamble });
}

/** The same rows as a bench with semicolons and decimal commas writes them. */
export function foreignLogText(seed: number): string {
  const { time, displacement, force } = recorded(1, seed);
  const number = (value: number, decimals: number): string => value.toFixed(decimals).replace('.', ',');
  const rows = Array.from(
    time,
    (t, i) => `${number(t, 4)};${number(displacement[i]! * 1000, 2)};${number(force[i]!, 1)}`,
  );
  return ['t;way;load', ...rows, ''].join('\n');
}

export const LOGS = {
  one: 'dampers/F-001/build-1/one.testlog.csv',
  two: 'dampers/F-002/build-1/two.testlog.csv',
  rear: 'dampers/R-001/build-1/rear.testlog.csv',
  foreign: 'incoming/F-003/1/any.csv',
} as const;
export const SPECS = { front: 'specs/alder-front.damper.yaml', rear: 'specs/birch-rear.damper.yaml' } as const;
export const REFERENCES = { front: 'specs/alder-front.refcurve.csv', rear: 'specs/birch-rear.refcurve.csv' } as const;

let made: Promise<Readonly<Record<string, Uint8Array>>> | undefined;

/** Every file of the workshop, results and references included; made once. */
export function workshopFiles(): Promise<Readonly<Record<string, Uint8Array>>> {
  made ??= makeWorkshop();
  return made;
}

async function makeWorkshop(): Promise<Readonly<Record<string, Uint8Array>>> {
  const files = new MemoryFiles({
    'damper-review.yaml': CONFIG,
    [SPECS.front]: specText('alder-front'),
    [SPECS.rear]: specText('birch-rear'),
    [LOGS.one]: logText({ serial: 'F-001', seed: 1 }),
    [LOGS.two]: logText({ serial: 'F-002', seed: 2, reboundShare: 0.8 }),
    [LOGS.rear]: logText({ spec: 'birch-rear', serial: 'R-001', seed: 3 }),
    [LOGS.foreign]: foreignLogText(4),
  });
  const first = await openSession(files).session.reduce([]);
  for (const [log, reference] of [
    [LOGS.one, REFERENCES.front],
    [LOGS.rear, REFERENCES.rear],
  ] as const) {
    const written = first.written.find((one) => one.path === resultOf(log))!;
    files.set(reference, referenceBytes(reference, written.bytes));
  }
  for (const { path, bytes } of (await openSession(files).session.reduce([])).written) files.set(path, bytes);
  return allFiles(files);
}

export function resultOf(log: string): string {
  return log.replace(/(?:\.testlog)?\.csv$/u, '.result.csv');
}

/** The result as reference curves. */
export function referenceBytes(path: string, result: Uint8Array): Uint8Array {
  const table = readForceTable('x.result.csv', result).table!;
  const without = <Value extends object>(value: Value, key: string): Value =>
    Object.fromEntries(Object.entries(value).filter(([name]) => name !== key)) as Value;
  const rows = table.rows.map((row) => without(copyOfRow(row), 'measured'));
  const reference: ForceTable = { ...without(table, 'result'), file: path, kind: 'reference', rows };
  return writeForceTable(reference);
}

async function allFiles(files: MemoryFiles): Promise<Readonly<Record<string, Uint8Array>>> {
  const list = await files.list('');
  return Object.fromEntries(
    await Promise.all(list.files.map(async ({ path }) => [path, await files.read(path)] as const)),
  );
}

export interface Opened {
  readonly files: MemoryFiles;
  readonly session: ReviewSession;
  readonly store: MemoryStore;
}

export function openSession(files: MemoryFiles, ports: Partial<SessionPorts> = {}): Opened {
  const store = new MemoryStore();
  const session = new ReviewSession({
    files,
    digest: nodeDigest,
    gunzip: nodeGunzip(),
    clock: fixedClock(TODAY),
    store,
    ...ports,
  });
  return { files, session, store };
}

/** A fresh copy of the workshop, changed as asked (null removes a file), and a session on it. */
export async function openWorkshop(
  changes: Readonly<Record<string, string | Uint8Array | null>> = {},
): Promise<Opened> {
  const files = new MemoryFiles(await workshopFiles());
  for (const [path, content] of Object.entries(changes)) {
    if (content === null) files.remove(path);
    else files.set(path, content);
  }
  return openSession(files);
}

export function textOf(files: Readonly<Record<string, Uint8Array>>, path: string): string {
  return new TextDecoder().decode(files[path]);
}

/** `rule file:line` of every finding, or of those of some rules. */
export function told(outcome: Pick<ReviewOutcome, 'findings'>, ...rules: readonly string[]): string[] {
  return outcome.findings.filter((finding) => rules.length === 0 || rules.includes(finding.rule)).map(placeOf);
}

export function placeOf({ rule, file, position }: Finding): string {
  return `${rule} ${file}:${position.line}`;
}

/** Files and their verdicts. */
export function verdicts(outcome: ReviewOutcome): Record<string, string> {
  return Object.fromEntries(outcome.results.map((result) => [result.file, result.verdict]));
}
