import type { RunScatter, SimulatedBench } from '../bench';
import type { SimulatedDamper } from '../damper';
import { createRandom } from '../random';
import type { BenchRun } from '../runBench';
import { runBench } from '../runBench';
import { fixed, toTestLogText } from '../testLogText';
import type { SampleBuild, SampleTest } from './sampleBuilds';
import { BUILDS, FURTHER_TESTS, UNITS } from './sampleBuilds';
import { checkDamper, frontStrut, heldStill, rearDamper, ROOM_TEMPERATURE } from './sampleDampers';
import {
  BENCHES,
  deliveryPlan,
  LONG_RUN_BENCH,
  endurancePlan,
  SPECS,
  staticPlan,
  sweepPlan,
} from './samplePlans';

/** A raw log of the samples: where it stands below samples/, and what stands in it (before gzip, where the path ends in `.gz`). */
export interface SampleLog {
  readonly path: string;
  text(): string;
}

/** All raw logs, in the order in which they were run. The texts are made when asked for, the same each time. */
export function sampleLogs(): SampleLog[] {
  let seed = 20_260_210;
  const ofBuilds = BUILDS.flatMap((build) => {
    const logs: SampleLog[] = [];
    for (let run = 1; run <= build.deliveryRuns; run++) logs.push(deliveryLog(build, run, seed++));
    build.sweeps.forEach((adjuster, index) => logs.push(sweepLog(build, adjuster, index, seed++)));
    return logs;
  });
  return [...ofBuilds, ...FURTHER_TESTS.map((test) => furtherLog(test, seed++))];
}

function furtherLog(test: SampleTest, seed: number): SampleLog {
  const build = BUILDS.find(({ serial, build: number }) => serial === test.serial && number === test.build)!;
  const spec = SPECS[build.spec];
  const stated = Object.entries(spec.delivery).map(([id, clicks]) => `${id}: ${clicks}`);
  const preamble = [
    ...preambleOf({ ...build, date: test.date }, test.time, test.kind === 'static' ? 'triangle' : 'sine'),
    ...(test.kind === 'staircase' ? [] : [`kind: ${test.kind}`]),
    ...(test.run === undefined ? [] : [`run: ${test.run}`]),
    ...(stated.length > 0 ? [`setting: {${stated.join(', ')}}`] : []),
  ];
  const simulate = (): BenchRun => {
    if (test.kind === 'static') return simulated(build, staticPlan(spec), seed, LONG_RUN_BENCH, heldStill);
    if (test.kind === 'endurance') return simulated(build, endurancePlan(spec), seed, LONG_RUN_BENCH);
    return simulated(build, deliveryPlan(spec), seed);
  };
  return {
    path: `dampers/${test.serial}/build-${test.build}/${test.name}.testlog.csv.gz`,
    text: () => toTestLogText(simulate(), { preamble, temperature: true, decimals: DECIMALS }),
  };
}

function deliveryLog(build: SampleBuild, run: number, seed: number): SampleLog {
  const spec = SPECS[build.spec];
  const simulate = (): BenchRun => simulated(build, deliveryPlan(spec), seed);
  if (build.foreign) {
    const setting = Object.values(spec.delivery).join('-');
    return {
      path: `incoming/${build.serial}/${build.build}/C-R-${setting}.csv`,
      text: () => foreignText(simulate(), build),
    };
  }
  const name = build.deliveryRuns > 1 ? `delivery-run-${run}` : 'delivery';
  const stated = Object.entries(spec.delivery).map(([id, clicks]) => `${id}: ${clicks}`);
  const preamble = [
    ...preambleOf(build, `${9 + run}:10:00`),
    ...(build.deliveryRuns > 1 ? [`run: ${run}`] : []),
    `setting: {${stated.join(', ')}}`,
  ];
  // One log is left plain, so that it can be looked into with any editor.
  const ending = build.plain ? 'testlog.csv' : 'testlog.csv.gz';
  return {
    path: `dampers/${build.serial}/build-${build.build}/${name}.${ending}`,
    text: () => toTestLogText(simulate(), { preamble, velocity: true, temperature: true, decimals: DECIMALS }),
  };
}

function sweepLog(build: SampleBuild, adjuster: string, index: number, seed: number): SampleLog {
  const spec = SPECS[build.spec];
  const preamble = [...preambleOf(build, `${14 + index}:05:00`), 'kind: sweep'];
  return {
    path: `dampers/${build.serial}/build-${build.build}/sweep-${adjuster}.testlog.csv.gz`,
    text: () =>
      toTestLogText(simulated(build, sweepPlan(spec, adjuster), seed), {
        preamble,
        temperature: true,
        adjusters: Object.keys(spec.delivery),
        decimals: DECIMALS,
      }),
  };
}

const DECIMALS = { time: 3, displacement: 2, velocity: 1, force: 1 };

function preambleOf(build: SampleBuild, time: string, drive: 'sine' | 'triangle' = 'sine'): string[] {
  const { stroke, midPosition } = SPECS[build.spec];
  return [
    `spec: ${build.spec}`,
    `serial: ${build.serial}`,
    `build: ${build.build}`,
    `date: ${build.date}T${time}Z`,
    'bench: bench-1',
    `stroke: ${fixed(stroke * 1000, 0)} mm`,
    `midPosition: ${fixed(midPosition * 1000, 0)} mm`,
    `drive: ${drive}`,
    'forceZero: unloaded',
    'temperatureAt: body',
  ];
}

function simulated(
  build: SampleBuild,
  plan: BenchRun['plan'],
  seed: number,
  bench: SimulatedBench = BENCHES[build.foreign ? 'bench-2' : 'bench-1'],
  as: (damper: SimulatedDamper) => SimulatedDamper = (damper) => damper,
): BenchRun {
  return runBench(as(damperOf(build)), plan, bench, { seed, startTemperature: ROOM_TEMPERATURE, scatter: scatterOf(seed) });
}

function damperOf(build: SampleBuild): SimulatedDamper {
  const unit = UNITS[build.serial]!;
  if (build.spec === 'larch-check') return checkDamper();
  return build.spec === 'larch-front' ? frontStrut(unit, build.fault) : rearDamper(unit, build.fault);
}

/** What remounting and setting the clicks again changes from one log to the next. */
function scatterOf(seed: number): RunScatter {
  const random = createRandom(seed ^ 0x5ca77e4);
  return {
    gain: 0.002 * random.normal(),
    zero: 1.5 * random.normal(),
    temperature: 0.4 * random.normal(),
    backlash: 0.03 * random.normal(),
  };
}

/** The other bench's own layout: three lines of its own, semicolons, decimal commas, kilonewtons, and travel and pull positive in rebound. */
function foreignText(run: BenchRun, build: SampleBuild): string {
  const comma = (value: number, decimals: number): string => fixed(value, decimals).replace('.', ',');
  const lines = ['Bench 2, damper room', `Unit ${build.serial}, build ${build.build}`, '', 'clock;travel;pull;skin'];
  for (let row = 0; row < run.time.length; row++) {
    lines.push(
      [
        comma(run.time[row]!, 3),
        comma(-1000 * run.displacement[row]!, 2),
        comma(-run.force[row]! / 1000, 4),
        comma(run.temperature[row]! - 273.15, 1),
      ].join(';'),
    );
  }
  return lines.join('\n') + '\n';
}
