import type { BuildFault, UnitVariation } from './sampleDampers';

/** One build of the invented series as it came to the bench. The README of samples/ tells the same story in words. */
export interface SampleBuild {
  readonly spec: 'larch-front' | 'larch-rear' | 'larch-check';
  readonly serial: string;
  readonly build: number;
  /** First day at the bench; the logs follow each other within it. */
  readonly date: string;
  readonly fault?: BuildFault;
  /** Complete runs at the delivery setting, the damper taken out and mounted again in between. */
  readonly deliveryRuns: number;
  /** Adjusters swept from full hard to full soft and back to full hard, the others at the delivery setting. */
  readonly sweeps: readonly string[];
  /** The day on which its curve became the reference of its spec, from the results below `from`, or all of the build's. */
  readonly adopted?: { readonly on: string; readonly from?: string; readonly reason: string };
  /** Its logs are kept without gzip. */
  readonly plain?: true;
  /** Recorded by the other bench, in its own layout. */
  readonly foreign?: true;
}

const FIRST_APPROVED = 'First approved unit, mean of its runs';

export const UNITS: Readonly<Record<string, UnitVariation>> = {
  'F-001': { compression: 0, rebound: 0, friction: 0 },
  'F-002': { compression: 0.006, rebound: -0.002, friction: 1 },
  'F-003': { compression: -0.005, rebound: 0.006, friction: -1 },
  'R-001': { compression: 0, rebound: 0, friction: 0 },
  'R-002': { compression: -0.006, rebound: -0.004, friction: 1 },
  'R-003': { compression: 0.004, rebound: 0.005, friction: -1 },
  'K-001': { compression: 0, rebound: 0, friction: 0 },
};

/** Kept to watch the bench: never rebuilt, and tested on days on which customers' dampers are. */
const CHECK_DAMPER: SampleBuild = {
  spec: 'larch-check',
  serial: 'K-001',
  build: 1,
  date: '2026-02-09',
  deliveryRuns: 0,
  sweeps: [],
  adopted: { on: '2026-02-09', from: 'dampers/K-001/build-1/february', reason: 'Mean of the runs of its first day' },
};

export const BUILDS: readonly SampleBuild[] = [
  {
    spec: 'larch-front',
    serial: 'F-001',
    build: 1,
    date: '2026-02-10',
    deliveryRuns: 4,
    sweeps: ['LSC', 'HSC', 'R'],
    adopted: { on: '2026-02-12', reason: FIRST_APPROVED },
  },
  { spec: 'larch-front', serial: 'F-002', build: 1, date: '2026-02-17', deliveryRuns: 1, sweeps: [] },
  {
    spec: 'larch-front',
    serial: 'F-002',
    build: 2,
    date: '2026-07-06',
    deliveryRuns: 1,
    sweeps: [],
    fault: { reboundDip: { depth: 0.1, speed: 0.35, width: 1.45 } },
  },
  {
    spec: 'larch-front',
    serial: 'F-003',
    build: 1,
    date: '2026-02-18',
    deliveryRuns: 1,
    sweeps: [],
    fault: { leftOut: { LSC: 3 } },
  },
  { spec: 'larch-front', serial: 'F-003', build: 2, date: '2026-02-19', deliveryRuns: 1, sweeps: [] },
  {
    spec: 'larch-rear',
    serial: 'R-001',
    build: 1,
    date: '2026-02-11',
    deliveryRuns: 3,
    sweeps: ['C', 'R'],
    adopted: { on: '2026-02-12', reason: FIRST_APPROVED },
  },
  {
    spec: 'larch-rear',
    serial: 'R-002',
    build: 1,
    date: '2026-02-24',
    deliveryRuns: 1,
    sweeps: [],
    fault: { gasPressure: 8e5 },
    plain: true,
  },
  { spec: 'larch-rear', serial: 'R-002', build: 2, date: '2026-03-03', deliveryRuns: 1, sweeps: [], foreign: true },
  {
    spec: 'larch-rear',
    serial: 'R-003',
    build: 1,
    date: '2026-02-25',
    deliveryRuns: 1,
    sweeps: [],
    fault: { damper: { voids: { rebound: 0.002 } } },
  },
  {
    spec: 'larch-rear',
    serial: 'R-003',
    build: 2,
    date: '2026-03-10',
    deliveryRuns: 1,
    sweeps: ['R'],
    fault: { deadFrom: { R: 7 } },
  },
  CHECK_DAMPER,
];

/** A log that is none of the delivery runs and sweeps above. Its seed follows theirs, so that another one changes no earlier log. */
export interface SampleTest {
  readonly serial: string;
  readonly build: number;
  readonly kind: 'staircase' | 'static' | 'endurance';
  readonly date: string;
  readonly time: string;
  readonly run?: number;
  /** Below the build's folder, without its ending. */
  readonly name: string;
}

export const FURTHER_TESTS: readonly SampleTest[] = [
  { ...of('R-001', 1), kind: 'staircase', date: '2026-02-11', time: '13:10:00', run: 4, name: 'delivery-run-4' },
  { ...of('R-002', 1), kind: 'static', date: '2026-02-24', time: '10:40:00', name: 'static' },
  { ...of('F-001', 1), kind: 'endurance', date: '2026-02-11', time: '09:00:00', name: 'endurance' },
  { ...of('K-001', 1), kind: 'staircase', date: '2026-02-09', time: '08:10:00', run: 1, name: 'february/run-1' },
  { ...of('K-001', 1), kind: 'staircase', date: '2026-02-09', time: '16:40:00', run: 2, name: 'february/run-2' },
  { ...of('K-001', 1), kind: 'staircase', date: '2026-07-06', time: '08:05:00', run: 3, name: 'july/run-3' },
  { ...of('K-001', 1), kind: 'staircase', date: '2026-07-06', time: '16:30:00', run: 4, name: 'july/run-4' },
];

function of(serial: string, build: number): { readonly serial: string; readonly build: number } {
  return { serial, build };
}
