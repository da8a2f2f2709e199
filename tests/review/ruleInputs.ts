import type { Side } from '../../src/analysis/side';
import type { Finding } from '../../src/review/finding';
import { collectOutcome } from '../../src/review/outcome';
import { aLog, anAnalysis } from './logScenario';
import type { JudgeInput } from '../../src/review/judgeInput';
import { aConfig, aReference, aResult, aSpec, aWaiver, DELIVERY, GAS, judge, softer } from './scenario';

/** Inputs that differ from a healthy test in one thing each, for the cases of rules.test.ts. */

export const log = aLog();
export const measured = { provenance: { kind: 'measured' }, logs: [log], table: aResult({ firstLine: 0 }) } as const;
export const withAnalysis = (changes: Parameters<typeof anAnalysis>[0]) => ({
  ...measured,
  analysis: anAnalysis(changes),
});
export const key = (step: number) => ({ log: 0, step });
export const aVoid = {
  setting: DELIVERY,
  side: 'rebound',
  length: 0.0024,
  lagCorrected: true,
  key: key(2),
  at: 'gas level',
  steps: 7,
} as const;

/** (p_abs(x, T) - p_atm) A_rod for 12 bar, 80 cm3, 18 mm rod, 35 mm in, 31 °C, n = 1.3, worked out apart from the product. */
const ROD = Math.PI * 0.009 ** 2;
export const EXPECTED_GAS =
  ((12e5 + 101325) * (80e-6 / (80e-6 - ROD * 0.035)) ** 1.3 * (304.15 / 293.15) - 101325) * ROD;

export function withGas(force: number) {
  const gas = { source: 'fit', force, u: 2, rate: 1860, temperature: 304.15 } as const;
  return { ...withAnalysis({ changes: { gas } }), spec: aSpec({ tolerance: { gasForce: 20 } }) };
}
export function fastCompression(size: number) {
  return (side: Side, velocity: number) => (side === 'compression' && velocity === 1 ? size : 0);
}
/** Compression whose slope above a knee [m/s] is this share of the reference's. */
export function bentAt(knee: number, share: number) {
  return (side: Side, velocity: number) =>
    side === 'compression' ? (share - 1) * 1500 * Math.max(0, velocity - knee) : 0;
}
export function withHardware(hardware: { baseValve?: boolean }) {
  return aSpec({ hardware: { ...aSpec().hardware, ...hardware } });
}
export function aDrop(share: number) {
  return { setting: DELIVERY, side: 'compression', share, displacement: 0.01, width: 0.009, key: key(2) } as const;
}
export function aRoughness(ratio: number) {
  return { key: key(2), setting: DELIVERY, side: 'rebound', ratio, amplitude: 6 } as const;
}
export function aLag(hysteresis: number) {
  return { key: key(3), setting: DELIVERY, side: 'compression', lag: 0.003, hysteresis } as const;
}
export function loopsWith(symmetry: { rebound: number }) {
  return anAnalysis().loops.map((loop, i) => (i === 1 ? { ...loop, symmetry } : loop));
}
export function wideReference() {
  const reference = aReference();
  const last = reference.rows.at(-1)!;
  return {
    ...reference,
    rows: [...reference.rows, { ...last, velocity: 1.2, compression: 375 + 2000, rebound: 375 - 3300, line: 30 }],
  };
}
export function fallingReference(change: number) {
  const reference = aReference();
  const before = reference.rows.at(-2)!;
  const rows = reference.rows.map((r) => (r.velocity === 1 ? { ...r, compression: before.compression + change } : r));
  return { ...reference, rows };
}
export function outcomeWith(until: string): readonly Finding[] {
  const config = aConfig({ waivers: [aWaiver({ until })] });
  return collectOutcome({ results: [judge()], problems: [], config, today: '2026-03-20', unreadable: false }).findings;
}

/** Both sides softer by a share since build 1; repeats of one damper scatter by 0.3 % a side, independently. */
export function afterBuild(share: number): Partial<JudgeInput> {
  const before = aResult();
  const relative = { relative: 0.003, df: 5 };
  const matrix = [
    [9e-6, 0],
    [0, 9e-6],
  ] as const;
  return {
    runToRun: {
      covariance: { matrix, degreesOfFreedom: 5 },
      spread: { compression: relative, rebound: relative },
      units: 1,
      runs: 6,
      from: 'spec',
    },
    before: {
      label: '1',
      file: 'dampers/F-017/build-1/alder-front.result.csv',
      serial: 'F-017',
      build: '1',
      specId: 'alder-front',
      bench: 'bench-1',
      table: before,
    },
    table: aResult({
      row: (row) => ({
        ...row,
        compression: row.compression + softer('compression', share * (row.compression - GAS)),
        rebound: row.rebound + softer('rebound', share * (GAS - row.rebound)),
      }),
    }),
  };
}
