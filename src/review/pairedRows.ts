import type { ForceRow, ForceTable } from '../files/forceTable';
import { speedMatches } from './plannedVelocity';
import { settingsOfTable } from './referenceCurves';

/** Below this many times its uncertainty a force is too small for a percentage. */
const CLEAR_OF_ZERO = 5;

/** @param U expanded uncertainty [N]; NaN where none is stated */
export function isClearOfZero(force: number, U: number): boolean {
  return Math.abs(force) > CLEAR_OF_ZERO * (Number.isFinite(U) ? U : 0) && force !== 0;
}

/** Rows of two tables that stand for each other, by their indices: the n-th of `a` and the n-th of `b` are one pair. */
export interface PairedRows {
  readonly a: readonly number[];
  readonly b: readonly number[];
  readonly onlyA: readonly number[];
  readonly onlyB: readonly number[];
}

/** Rows of equal setting and pass whose speeds are near enough, each used once, the nearest first. */
export function pairRows(a: ForceTable, b: ForceTable): PairedRows {
  return areAligned(a, b) ? alignedPairs(a.rows.length) : nearestPairs(a, b);
}

/** Whether both were run by one plan, as two builds of a damper are as a rule: then each row stands for the one of its own index. */
function areAligned(a: ForceTable, b: ForceTable): boolean {
  const n = a.rows.length;
  if (n !== b.rows.length) return false;
  const ofA = settingsOfTable(a).ofRows;
  const ofB = settingsOfTable(b).ofRows;
  for (let i = 0; i < n; i++) {
    const rowA = a.rows[i]!;
    const rowB = b.rows[i]!;
    if (rowA.velocity !== rowB.velocity || rowA.pass !== rowB.pass) return false;
    const isSame = i > 0 && ofA[i] === ofA[i - 1] && ofB[i] === ofB[i - 1];
    if (!isSame && ofA[i]!.key !== ofB[i]!.key) return false;
  }
  return true;
}

function alignedPairs(n: number): PairedRows {
  const indices: number[] = [];
  for (let i = 0; i < n; i++) indices.push(i);
  return { a: indices, b: indices, onlyA: [], onlyB: [] };
}

function nearestPairs(a: ForceTable, b: ForceTable): PairedRows {
  const free = rowsOfPasses(b);
  const pairs: { readonly a: number[]; readonly b: number[] } = { a: [], b: [] };
  const onlyA: number[] = [];
  const settings = settingsOfTable(a).ofRows;
  let candidates: number[] = [];
  a.rows.forEach(({ pass, velocity }, i) => {
    // Rows of one setting and pass stand together as a rule, so that their name is made once.
    if (i === 0 || settings[i - 1] !== settings[i] || a.rows[i - 1]!.pass !== pass)
      candidates = free.get(passKey(settings[i]!.key, pass)) ?? [];
    const nearest = nearestOf(b.rows, candidates, velocity);
    if (nearest === undefined) {
      onlyA.push(i);
      return;
    }
    pairs.a.push(i);
    pairs.b.push(candidates[nearest]!);
    candidates.splice(nearest, 1);
  });
  return { ...pairs, onlyA, onlyB: [...free.values()].flat() };
}

/** Which of the candidates is nearest in speed among those that may stand for it, the first of equals. */
function nearestOf(rows: readonly ForceRow[], candidates: readonly number[], velocity: number): number | undefined {
  let best: number | undefined;
  let least = Infinity;
  for (let i = 0; i < candidates.length; i++) {
    const other = rows[candidates[i]!]!.velocity;
    const distance = Math.abs(other - velocity);
    if (distance === 0) return i;
    if (!(distance < least) || !speedMatches(other, velocity)) continue;
    best = i;
    least = distance;
  }
  return best;
}

/** Indices of the rows of each setting and pass. */
function rowsOfPasses(table: ForceTable): Map<string, number[]> {
  const groups = new Map<string, number[]>();
  const settings = settingsOfTable(table).ofRows;
  let group: number[] = [];
  table.rows.forEach(({ pass }, i) => {
    if (i === 0 || settings[i - 1] !== settings[i] || table.rows[i - 1]!.pass !== pass) {
      const key = passKey(settings[i]!.key, pass);
      group = groups.get(key) ?? [];
      groups.set(key, group);
    }
    group.push(i);
  });
  return groups;
}

function passKey(setting: string, pass: number): string {
  return `${pass}\n${setting}`;
}
