import type { ReducedLog } from '../analysis/reducedLog';
import type { RunAnalysis, StepKey } from '../analysis/runAnalysis';
import type { ForceTable } from '../files/forceTable';
import type { SourcePosition } from '../files/problem';
import type { Bench, ReviewConfig } from '../files/reviewConfig';
import type { Spec } from '../files/spec';
import type { TestLogHead } from '../files/testLog';
import type { AdoptedRoughness } from './adoptedLoops';
import type { ComparedRun } from './comparison';
import type { Normalisation } from './normalisation';
import type { RunToRun } from './runToRun';

/** A log behind a result, once read. */
export interface LogUnderReview {
  readonly head: TestLogHead;
  readonly reduced: ReducedLog;
  /** Line of a data row in the log. */
  lineOfRow(row: number): number;
}

/** How a committed result stands to its logs. `measured`: no result is committed, the table comes straight from the logs. */
export type Provenance =
  | { readonly kind: 'measured' }
  | { readonly kind: 'matches' }
  | { readonly kind: 'altered'; readonly line: number; readonly was: string; readonly expected: string }
  | {
      readonly kind: 'stale';
      readonly because: readonly ('method' | 'spec' | 'mapping' | 'bench' | 'source')[];
      readonly detail: string;
    }
  | { readonly kind: 'unsourced'; readonly missing: readonly string[]; readonly detail: string };

/** All that judging one result depends on; nothing else may influence it. */
export interface JudgeInput {
  readonly file: string;
  /** The committed table, or the one made from the logs, rounded alike in both cases. */
  readonly table: ForceTable;
  readonly provenance: Provenance;
  readonly logs: readonly LogUnderReview[];
  /** Present where the logs are. Indices in StepKey.log count `logs`. */
  readonly analysis?: RunAnalysis;
  readonly spec?: Spec;
  readonly reference?: ForceTable;
  readonly config: ReviewConfig;
  readonly bench?: Bench;
  /** How damping is corrected for temperature, where the spec says `normalise: true`. */
  readonly normalisation?: Normalisation;
  /** Ripple of the loops that the reference was adopted from, where this test is none of those. */
  readonly adoptedRoughness?: readonly AdoptedRoughness[];
  /** What repeated runs of the spec show; their scatter is in every uncertainty that is judged with, and in no table. */
  readonly runToRun?: RunToRun;
  /** The latest test of the build before, where this is the latest of its own; only where there are repeats to hold the change against. */
  readonly before?: ComparedRun;
  /** `YYYY-MM-DD` */
  readonly today: string;
  /** Which test of this build this is, from 1. */
  readonly attempt: number;
}

/** Where a step begins: the log's file and line. */
export function positionOfStep(input: JudgeInput, key: StepKey): { file: string; position: SourcePosition } {
  const log = input.logs[key.log];
  const step = log?.reduced.steps[key.step];
  if (log === undefined || step === undefined)
    return { file: input.file, position: { line: input.table.headerLine, column: 1 } };
  return { file: log.head.file, position: { line: log.lineOfRow(step.firstRow), column: 1 } };
}
