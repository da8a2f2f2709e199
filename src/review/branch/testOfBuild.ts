import type { ForceTable } from '../../files/forceTable';
import type { Verdict } from '../judgedResult';

/** One test of one build, in whatever state of the repository it was found. */
export interface TestOfBuild {
  readonly file: string;
  readonly spec: string;
  readonly serial: string;
  readonly build: string;
  readonly date: string;
  readonly verdict: Verdict;
  /** SHA-256 of each log. */
  readonly logs: readonly string[];
  readonly table: ForceTable;
  /** Whether it says of itself that it is one. */
  readonly retest: boolean;
  /** Tests of one key are tests of one build by one spec, at one setting and in one run. */
  readonly key: string;
  /** Where it is: at the end of the branch, or only earlier, in words such as `at the base`. */
  readonly found: 'head' | { readonly words: string };
  /** Whether the branch added or changed it. */
  readonly fresh: boolean;
}

/** Whether both are of the same cycles on the bench, whatever was written about them since. */
export function isSameTest(a: TestOfBuild, b: TestOfBuild): boolean {
  const logs = new Set(a.logs);
  if (a.logs.length > 0 && a.logs.length === b.logs.length && b.logs.every((log) => logs.has(log))) return true;
  return sameForces(a.table, b.table);
}

/** Forces to the last digit that files keep: two tests on a bench never agree like that. */
function sameForces(a: ForceTable, b: ForceTable): boolean {
  if (a.rows.length !== b.rows.length || a.rows.length === 0) return false;
  return a.rows.every((row, i) => {
    const other = b.rows[i]!;
    return (
      same(row.compression, other.compression) && same(row.rebound, other.rebound) && same(row.velocity, other.velocity)
    );
  });
}

function same(a: number, b: number): boolean {
  return Object.is(a, b) || Math.abs(a - b) < 1e-6;
}
