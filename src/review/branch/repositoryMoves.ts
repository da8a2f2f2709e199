import type { ForceTable } from '../../files/forceTable';
import type { SourcePosition } from '../../files/problem';
import type { ReviewConfig, Waiver } from '../../files/reviewConfig';
import type { PlacedSpec } from '../../files/spec';
import type { KeyChange } from './keyChange';
import type { ReferenceMove } from './referenceMove';

export interface SpecSide {
  readonly spec: PlacedSpec;
  readonly reference?: ForceTable;
}

/** A spec that differs between two states, or whose curves do. Before or after is absent where the spec is. */
export interface SpecMove {
  readonly id: string;
  readonly before?: SpecSide;
  readonly after?: SpecSide;
  /** Where both states have curves and these differ. */
  readonly reference?: ReferenceMove;
  /** Keys that differ, as the files spell them. */
  readonly tolerance: readonly KeyChange[];
  readonly plan: readonly KeyChange[];
  readonly rules: readonly KeyChange[];
  readonly other: readonly KeyChange[];
  /** What the later plan asks for less, a few words each. */
  readonly narrowed: readonly string[];
}

export type ChangeKind = 'added' | 'removed' | 'changed';

export interface NamedMove {
  /** Id of a bench, or the pattern of a mapping's files. */
  readonly name: string;
  readonly change: ChangeKind;
  readonly keys: readonly KeyChange[];
  readonly position: SourcePosition;
}

export interface WaiverMove {
  /** As it is now, or was where it is gone. */
  readonly waiver: Waiver;
  readonly change: ChangeKind;
  /** Its former last day, where only that moved. */
  readonly until?: string;
}

/** What differs in damper-review.yaml. */
export interface ConfigMoves {
  readonly before: ReviewConfig;
  readonly after: ReviewConfig;
  readonly mappings: readonly NamedMove[];
  readonly benches: readonly NamedMove[];
  readonly waivers: readonly WaiverMove[];
  readonly rules: readonly KeyChange[];
}

/** A committed result whose verdict is another at the end of a branch than at its base. */
export interface TurnedVerdict {
  readonly file: string;
  readonly before: string;
  readonly after: string;
  /** Parts that it turned with. */
  readonly parts: readonly string[];
  /** Path of its spec. */
  readonly specFile?: string;
}
