import type { ResultOrigin } from '../files/forceTable';
import type { RepositoryState } from '../session/repositoryState';
import type { RepositoryMoves } from '../session/repositoryMoves';
import type { Part } from './parts';

/** A result that was written again from the same logs. */
export interface RewrittenResult {
  readonly file: string;
  /** What it was written again with. */
  readonly parts: readonly Part[];
  readonly before: ResultOrigin;
  readonly after: ResultOrigin;
}

/**
 * Results whose file changed though their logs did not: their numbers belong to what the reduction uses besides (spec, mapping, bench data,
 * method), so that they go along with that part when it is taken back. One that changed with none of these was edited, and is a measurement.
 */
export function rewrittenResults(
  base: RepositoryState,
  head: RepositoryState,
  moves: RepositoryMoves,
  changed: ReadonlySet<string>,
): readonly RewrittenResult[] {
  return [...head.entries.values()].flatMap((entry) => {
    const [a, b] = [base.entries.get(entry.text)?.origin, entry.origin];
    if (a === undefined || b === undefined || !changed.has(entry.file) || !isOfSameLogs(a, b)) return [];
    const parts: Part[] = [
      ...(a.inputs.spec === b.inputs.spec ? [] : specParts(moves, entry.head.specPath)),
      ...(a.inputs.mapping === b.inputs.mapping ? [] : (['mapping'] as const)),
      ...(a.inputs.bench === b.inputs.bench ? [] : (['bench data'] as const)),
      ...(a.method === b.method ? [] : (['method'] as const)),
    ];
    return [{ file: entry.file, parts: parts.length === 0 ? (['measurement'] as const) : parts, before: a, after: b }];
  });
}

function isOfSameLogs(a: ResultOrigin, b: ResultOrigin): boolean {
  const [before, after] = [a, b].map(({ source }) => source.map(({ sha256 }) => sha256).sort()) as [string[], string[]];
  if (before.length === 0) return false;
  return before.length === after.length && before.every((digest, i) => digest === after[i]);
}

/** A reduction uses planned speeds, adjusters and hardware of its spec. */
function specParts(moves: RepositoryMoves, path: string | undefined): readonly Part[] {
  const move = moves.specs.find(({ after }) => after?.spec.file === path);
  const parts: readonly Part[] = [
    ...((move?.plan.length ?? 0) > 0 ? (['plan'] as const) : []),
    ...((move?.other.length ?? 0) > 0 ? (['spec'] as const) : []),
  ];
  return parts.length === 0 ? ['spec'] : parts;
}
