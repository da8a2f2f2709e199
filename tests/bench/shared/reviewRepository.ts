import { METHOD_VERSION } from '../../../src/analysis/method';
import type { ForceRow, ForceTable } from '../../../src/files/forceTable';
import { writeForceTable } from '../../../src/files/writeForceTable';
import { createRandom, type RandomSource } from '../../simulator/random';

/*
 * A workshop's repository after some years: results and reference curves as text, the logs behind the results as pointers of large files
 * that this clone has not fetched, as on a build machine. With the logs fetched, reading them would hide everything else.
 */

export interface CommittedFile {
  readonly path: string;
  readonly text: string;
}

/** Files of each commit in order: those of main, then those of a branch that left it at its end. */
export interface ReviewRepository {
  readonly main: readonly (readonly CommittedFile[])[];
  readonly branch: readonly (readonly CommittedFile[])[];
  /** Paths that the branch changes, and the results that rest on the reference which it moves. */
  readonly concerned: readonly string[];
}

const SPECS = 12;
/** Each damper is built so often, so that most results have a build before them. */
const BUILDS = 4;
const CLICKS = 12;
const BRANCH_COMMITS = 3;

/** What each test runs through. */
export interface TestPlan {
  /** [m/s] */
  readonly velocities: readonly number[];
  /** Clicks out. */
  readonly settings: readonly number[];
  /** The velocities as a spec says them. */
  readonly text: string;
}

/** The whole test of a damper: a staircase of speeds at every setting from full hard to full soft. */
export const EVERY_SETTING: TestPlan = {
  velocities: Array.from({ length: 15 }, (_, i) => (i + 1) / 10),
  settings: Array.from({ length: CLICKS + 1 }, (_, i) => i),
  text: '[{ from: 100 mm/s, to: 1500 mm/s, step: 100 mm/s }]',
};

/** A delivery test at two settings. */
export const TWO_SETTINGS: TestPlan = {
  velocities: [25, 50, 100, 200, 300, 400, 500, 600, 700, 800, 900, 1000].map((speed) => speed / 1000),
  settings: [4, 8],
  text: '[25 mm/s, 50 mm/s, { from: 100 mm/s, to: 1000 mm/s, step: 100 mm/s }]',
};

/** @param results committed results in all @param commits commits in all, three of them the branch's */
export function reviewRepository(results: number, commits: number, plan: TestPlan): ReviewRepository {
  const random = createRandom(20260501);
  const specs = Array.from({ length: SPECS }, (_, i) => `alder-${String(i + 1).padStart(2, '0')}`);
  const first = [
    { path: 'damper-review.yaml', text: CONFIG },
    ...specs.flatMap((id, i) => [
      { path: `specs/${id}.damper.yaml`, text: specText(id, plan) },
      { path: `specs/${id}.refcurve.csv`, text: textOf(referenceTable(id, i, 1, plan)) },
    ]),
  ];
  const measured = Array.from({ length: results }, (_, i) => resultFiles(i, specs, plan, random));
  const onMain = commits - BRANCH_COMMITS;
  const kept = measured.slice(0, results - 2);
  const main = Array.from({ length: onMain }, (_, commit): CommittedFile[] => [
    ...(commit === 0 ? first : []),
    ...kept
      .slice(Math.round((commit * kept.length) / onMain), Math.round(((commit + 1) * kept.length) / onMain))
      .flat(),
  ]);
  // The branch adds two results, measures one again and moves one reference by 2 %: every result of that spec rests on it.
  const again = resultFiles(0, specs, plan, random);
  const moved = specs[1]!;
  const reference = { path: `specs/${moved}.refcurve.csv`, text: textOf(referenceTable(moved, 1, 1.02, plan)) };
  const branch = [measured.slice(-2).flat(), again, [reference]];
  const resting = kept.flatMap(([result]) => (result.text.includes(`# spec: ${moved}\n`) ? [result.path] : []));
  return { main, branch, concerned: [...new Set([...branch.flat().map(({ path }) => path), ...resting])] };
}

/** The result and the pointer of its log. One damper of each spec was run three times in its first build: repeats. */
function resultFiles(
  index: number,
  specs: readonly string[],
  plan: TestPlan,
  random: RandomSource,
): [CommittedFile, CommittedFile] {
  const ofSpec = Math.floor(index / specs.length);
  const spec = specs[index % specs.length]!;
  const isRepeat = ofSpec < 3;
  const damper = isRepeat ? 0 : 1 + Math.floor((ofSpec - 3) / BUILDS);
  const build = isRepeat ? 1 : 1 + ((ofSpec - 3) % BUILDS);
  const run = isRepeat ? ofSpec + 1 : 1;
  const serial = `${spec.slice(-2)}-${String(damper).padStart(3, '0')}`;
  const folder = `dampers/${serial}/build-${build}`;
  const log = `${folder}/run-${run}.testlog.csv.gz`;
  const sha256 = Array.from({ length: 64 }, () => Math.floor(random.uniform(0, 16)).toString(16)).join('');
  const pointer = `version https://git-lfs.github.com/spec/v1\noid sha256:${sha256}\nsize ${1_000_000 + index}\n`;
  const file = `${folder}/run-${run}.result.csv`;
  // One in twenty is too soft on one side.
  const softer = random.uniform(0, 1) < 0.05 ? 0.9 : 1;
  const curve = curveOf(plan, index % specs.length, (side) => (side < 0 ? softer : 1) * (1 + 0.006 * random.normal()));
  const day = new Date(Date.UTC(2025, 0, 1) + index * 3_600_000).toISOString().slice(0, 19);
  const table: ForceTable = {
    ...common(file, spec, 'result'),
    rows: curve.map((row) => ({ ...row, temperature: 305, measured: measuredAt(row.velocity, random) })),
    result: {
      serial,
      build: String(build),
      date: `${day}Z`,
      bench: 'bench-1',
      run,
      method: METHOD_VERSION,
      benchIncluded: true,
      source: [{ path: log, sha256 }],
      inputs: { spec: sha256 },
    },
  };
  return [
    { path: file, text: textOf(table) },
    { path: log, text: pointer },
  ];
}

function referenceTable(spec: string, index: number, factor: number, plan: TestPlan): ForceTable {
  return { ...common(`specs/${spec}.refcurve.csv`, spec, 'reference'), rows: curveOf(plan, index, () => factor) };
}

function common(file: string, spec: string, kind: ForceTable['kind']): Omit<ForceTable, 'rows'> {
  return {
    file,
    kind,
    formatVersion: 1,
    spec,
    headerLine: 0,
    adjusters: [{ id: 'R', unit: 'click' }],
    basis: { drive: 'sine', stroke: 0.04, midPosition: 0.075, forceZero: 'unloaded', temperatureAt: 'body' },
    gas: { force: 380, temperature: 304, source: 'fit' },
  };
}

/** Digressive compression and rebound that the adjuster opens. @param factor on damping force, by side */
function curveOf(plan: TestPlan, index: number, factor: (side: 1 | -1) => number): ForceRow[] {
  return plan.settings.flatMap((clicks) =>
    plan.velocities.map((velocity) => ({
      line: 0,
      setting: [clicks],
      pass: 1,
      velocity,
      compression: 380 + factor(1) * (30 * index + 500 * Math.tanh(velocity / 0.15) + 400 * velocity),
      rebound: 380 - factor(-1) * (1 - 0.02 * clicks) * (700 * Math.tanh(velocity / 0.12) + 700 * velocity),
    })),
  );
}

function measuredAt(velocity: number, random: RandomSource): NonNullable<ForceRow['measured']> {
  return {
    compressionVelocity: velocity * (1 + 0.0003 * random.normal()),
    reboundVelocity: velocity * (1 + 0.0003 * random.normal()),
    compressionU: random.uniform(4.5, 5),
    reboundU: random.uniform(4.5, 5),
    compressionK: 1.96,
    reboundK: 1.96,
    compressionDf: 9999,
    reboundDf: 9239.5,
    cycles: 4,
    energy: 10 + 60 * velocity,
  };
}

function textOf(table: ForceTable): string {
  return new TextDecoder().decode(writeForceTable(table));
}

const CONFIG = `formatVersion: 1
benches:
  bench-1: { loadCell: { U: 3 N, relativeU: 0.1 % }, displacementU: 0.02 mm, skewU: 0.1 ms, movingMass: 0.8 kg }
`;

function specText(id: string, plan: TestPlan): string {
  return `formatVersion: 1
id: ${id}
title: Invented strut of the bench
hardware: { piston: 46 mm, rod: 22 mm, stroke: 150 mm, gasPressure: 7 bar, gasVolume: 120 cm3, baseValve: true }
adjusters:
  R: { clicks: ${CLICKS}, acts: { side: rebound } }
settings: { delivery: { R: 8 } }
test:
  velocities: ${plan.text}
  stroke: 40 mm
  cycles: 4
  temperature: [28 Cel, 38 Cel]
tolerance:
  compression: { relative: 5 %, absolute: 20 N }
  rebound: { relative: 5 %, absolute: 20 N }
  gasForce: 25 N
  friction: 40 N
limits: { maxTemperature: 100 Cel, maxForce: 5 kN, maxVelocity: 1.6 m/s }
purpose: release
reference: ${id}.refcurve.csv
`;
}
