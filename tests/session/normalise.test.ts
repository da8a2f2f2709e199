import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { MemoryStore } from '../../src/platform/memory/memoryServices';
import { renderText } from '../../src/reports/text';
import { reviewDocument } from '../../src/reports/json';
import { PERFECT_BENCH, type SimulatedBench } from '../simulator/bench';
import { kneeValve, type SimulatedDamper } from '../simulator/damper';
import { runBench } from '../simulator/runBench';
import { toTestLogText } from '../simulator/testLogText';
import { openSession, referenceBytes, specText } from './workshop';

/** A damper that loses 0.3 % a kelvin, tested cool for its reference and 20 K warmer for the test: known answers on both. */
const LOSS = 0.003;
const COOL = 303.15;
const BENCH: SimulatedBench = { ...PERFECT_BENCH, sampleRate: 500, forceNoise: 1, displacementStep: 1e-5 };

/** @param capacity small for a damper that warms within its endurance run */
function damper(capacity: number): SimulatedDamper {
  return {
    valves: {
      compression: kneeValve({ preload: 300, kneeSpeed: 0.1, slope: 500 }),
      rebound: kneeValve({ preload: 500, kneeSpeed: 0.1, slope: 800 }),
    },
    gas: { rodDiameter: 0.014, pressure: 8e5, volume: 60e-6, exponent: 1.3 },
    friction: 0,
    frictionSpeed: 0.002,
    lag: 0.0002,
    heat: { capacity, ambient: 293.15, coolingTime: 1e6, forceLoss: LOSS, referenceTemperature: COOL },
    adjusters: [],
    faults: {},
  };
}

function logOf(
  capacity: number,
  startTemperature: number,
  speeds: readonly number[],
  cycles: number,
  more: readonly string[],
): string {
  const steps = speeds.map((velocity) => ({ velocity, stroke: 0.04, cycles, setting: {} }));
  const dwell = { mode: 'hold' as const, duration: 0.2 };
  const plan = { drive: 'sine' as const, steps, midPosition: 0.05, dwell, startPhase: 0, trailingPhase: 0 };
  const run = runBench(damper(capacity), plan, BENCH, { seed: 9, startTemperature });
  const preamble = [
    'spec: alder-front',
    'bench: bench-1',
    'forceZero: unloaded',
    'midPosition: 50 mm',
    'setting: {R: 4}',
    ...more,
  ];
  return toTestLogText(run, { preamble, temperature: true });
}

const SPEEDS = [0.02, 0.1, 0.2, 0.3];
const TEST = 'dampers/N-1/build-1/warm.testlog.csv';
const ENDURANCE = 'dampers/N-1/build-1/hot.testlog.csv';
const REFERENCE = 'specs/alder-front.refcurve.csv';
const SPEC = 'specs/alder-front.damper.yaml';
const warm = logOf(1e9, COOL + 20, SPEEDS, 4, ['serial: N-1', 'build: 1']);
const cool = logOf(1e9, COOL, SPEEDS, 4, ['serial: N-0', 'build: 1']);
const endurance = logOf(300, COOL, [0.3], 60, ['serial: N-1', 'build: 1', 'kind: endurance']);
const spec = specText('alder-front').replace('100 mm/s, 200 mm/s, 300 mm/s', '20 mm/s, 100 mm/s, 200 mm/s, 300 mm/s');
const first = openSession(new MemoryFiles({ [SPEC]: spec, 'cool.testlog.csv': cool }));
const reference = referenceBytes(REFERENCE, (await first.session.reduce([''])).written[0]!.bytes);

const store = new MemoryStore();
async function judged(normalise: boolean, more: Readonly<Record<string, string>>) {
  const specNow = normalise ? `${spec}normalise: true\n` : spec;
  const files = new MemoryFiles({ [SPEC]: specNow, [REFERENCE]: reference, [TEST]: warm, ...more });
  const outcome = await openSession(files, { store }).session.review(['']);
  return { outcome, result: outcome.results.find((result) => result.file === TEST)! };
}

describe('normalise: true', () => {
  it("corrects damping to the reference's temperature by what the spec's endurance log lost, and shows both", async () => {
    const plain = await judged(false, { [ENDURANCE]: endurance });
    expect(plain.result.verdict).toBe('fail'); // 6 % softer by heat alone
    const { result, outcome } = await judged(true, { [ENDURANCE]: endurance });
    expect(result.normalisation).toMatchObject({ kind: 'known', from: [ENDURANCE] });
    const { coefficient } = result.normalisation as Extract<typeof result.normalisation, { kind: 'known' }>;
    expect(Math.abs(coefficient.perKelvin / LOSS - 1)).toBeLessThan(0.05);
    expect(coefficient.range[1] - coefficient.range[0]).toBeGreaterThan(5);
    result.points.forEach((point, i) => {
      const bare = plain.result.points[i]!;
      expect(point.damping).toBe(bare.damping);
      expect(point.normalised!.temperature).toBeCloseTo(COOL, 1);
      // D exp(b (T - T_ref)): 20 K at 0.3 % a kelvin is 6.2 % more.
      expect(point.normalised!.damping / point.damping!).toBeCloseTo(Math.exp(coefficient.perKelvin * 20), 3);
      expect(point.drift).toBeCloseTo(point.normalised!.damping - point.reference!, 9);
      expect(point.driftUncertainty).toBeGreaterThan(bare.driftUncertainty!);
    });
    expect(result.verdict).toBe('pass');
    const [entry] = reviewDocument(outcome).results.filter((r) => r.file === TEST);
    expect(entry!.normalisation!.loss_percent_per_K).toBeCloseTo(100 * coefficient.perKelvin, 4);
    for (const point of entry!.points) expect(point.normalised_N! / point.damping_N!).toBeCloseTo(1.061, 2);
    const failing = { ...outcome, results: [{ ...result, verdict: 'fail' as const }] };
    const text = renderText(failing, { colour: false, width: 200 });
    expect(text).toContain("8 points judged at the reference's 30 °C: 0.3");
    expect(text).toContain(`from ${ENDURANCE}`);
  });

  it('corrects nothing without such a log, or with one of another spec or without warming, and says why', async () => {
    for (const [more, reason] of [
      [{}, 'no endurance log of this spec is there'],
      [
        { [ENDURANCE]: endurance.replace('spec: alder-front', 'spec: birch-rear') },
        'no endurance log of this spec is there',
      ],
      [{ [ENDURANCE]: endurance.replace('kind: endurance', 'kind: replay') }, 'no endurance log of this spec is there'],
      [{ [ENDURANCE]: logOf(1e9, COOL, [0.3], 20, ['serial: N-1', 'build: 1', 'kind: endurance']) }, 'warms by 5 K'],
    ] as const) {
      const { result } = await judged(true, more);
      expect(result.points.every((point) => point.normalised === undefined)).toBe(true);
      expect(result.verdict).toBe('fail');
      expect(JSON.stringify(result.normalisation)).toContain(reason);
    }
  });
});
