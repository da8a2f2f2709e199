import type { BuildFault, UnitVariation } from './sampleDampers';

/** One build of the invented series as it came to the bench. The README of samples/ tells the same story in words. */
export interface SampleBuild {
  readonly spec: 'larch-front' | 'larch-rear';
  readonly serial: string;
  readonly build: number;
  /** First day at the bench; the logs follow each other within it. */
  readonly date: string;
  readonly fault?: BuildFault;
  /** Complete runs at the delivery setting, the damper taken out and mounted again in between. */
  readonly deliveryRuns: number;
  /** Adjusters swept from full hard to full soft and back to full hard, the others at the delivery setting. */
  readonly sweeps: readonly string[];
  /** The day on which its curve became the reference of its spec. */
  readonly adopted?: string;
  /** Its logs are kept without gzip. */
  readonly plain?: true;
  /** Recorded by the other bench, in its own layout. */
  readonly foreign?: true;
}

export const UNITS: Readonly<Record<string, UnitVariation>> = {
  'F-001': { compression: 0, rebound: 0, friction: 0 },
  'F-002': { compression: 0.006, rebound: -0.002, friction: 1 },
  'F-003': { compression: -0.005, rebound: 0.006, friction: -1 },
  'R-001': { compression: 0, rebound: 0, friction: 0 },
  'R-002': { compression: -0.006, rebound: -0.004, friction: 1 },
  'R-003': { compression: 0.004, rebound: 0.005, friction: -1 },
};

export const BUILDS: readonly SampleBuild[] = [
  {
    spec: 'larch-front',
    serial: 'F-001',
    build: 1,
    date: '2026-02-10',
    deliveryRuns: 4,
    sweeps: ['LSC', 'HSC', 'R'],
    adopted: '2026-02-12',
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
    adopted: '2026-02-12',
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
];
