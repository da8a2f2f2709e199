import type { SourcePosition } from './problem';

/** A spec as the review uses it: SI units (m, m/s, N, K, Pa, s; fractions instead of percent). Absent keys are not judged. */
export interface Spec {
  readonly file: string;
  readonly id: string;
  readonly title?: string;
  readonly formerly: readonly string[];
  readonly hardware: SpecHardware;
  readonly adjusters: readonly Adjuster[];
  /** Named settings; values in the adjusters' own units. */
  readonly settings: Readonly<Record<string, Setting>>;
  readonly test: TestPlan;
  readonly tolerance: Tolerances;
  readonly limits: { readonly maxTemperature?: number; readonly maxForce?: number; readonly maxVelocity?: number };
  readonly purpose: 'release' | 'scrutineering';
  readonly role: 'product' | 'checkStandard';
  readonly normalise: boolean;
  /** Path of the reference curves inside the repository. */
  readonly reference?: string;
  readonly rules: RuleSettings;
}

/** A spec as it stands in its file. */
export interface PlacedSpec extends Spec {
  /** Where a key stands, by its path such as `tolerance.compression.relative`; the nearest parent where the key is absent. */
  positionOf(keyPath: string): SourcePosition;
}

/** Adjuster positions by adjuster id, in the adjuster's unit (clicks out from fully closed unless the spec says otherwise). */
export type Setting = Readonly<Record<string, number>>;

export interface SpecHardware {
  readonly piston?: number;
  readonly rod?: number;
  readonly gasPressure?: number;
  readonly gasVolume?: number;
  readonly stroke?: number;
  readonly valving?: Readonly<Partial<Record<'compression' | 'rebound', string>>>;
  readonly gas?: 'none';
  readonly rodKind?: 'single' | 'through';
  readonly baseValve?: boolean;
}

export interface Adjuster {
  readonly id: string;
  readonly unit: string;
  /** Highest position; positions are 0 to this unless `positions` lists them. */
  readonly clicks?: number;
  readonly positions?: readonly number[];
  readonly countsFrom: 'closed' | 'open';
  readonly acts?: {
    readonly side: 'compression' | 'rebound' | 'both';
    readonly band?: readonly [number, number];
    readonly crossLimit?: number;
  };
}

export interface TestPlan {
  /** Peak velocities, rising, without repeats [m/s]. */
  readonly velocities: readonly number[];
  readonly stroke?: number;
  readonly cycles?: number;
  readonly warmup?: { readonly velocity: number; readonly cycles: number };
  /** [K] */
  readonly temperature?: readonly [number, number];
}

/** The larger of `relative` x |reference damping| and `absolute` applies. */
export interface Band {
  readonly relative?: number;
  readonly absolute?: number;
}
export interface SideTolerance {
  readonly softer: Band;
  readonly harder: Band;
}
export interface Tolerances {
  readonly compression?: SideTolerance;
  readonly rebound?: SideTolerance;
  readonly gasForce?: number;
  readonly friction?: number;
  readonly pair?: Band;
  readonly clickStep?: {
    readonly least?: number;
    readonly most?: number;
    readonly law?: 'equal' | 'equal-ratio' | 'as-reference';
  };
  readonly fade?: number;
}

export type FindingLevel = 'error' | 'warning' | 'note' | 'off';
/** Level and limit of rules by id; a limit is in the rule's SI unit or a fraction. */
export type RuleSettings = Readonly<Record<string, { readonly level?: FindingLevel; readonly limit?: number }>>;
