import type { KeyChange } from '../review/branch/keyChange';
import type { ReferenceMove } from '../review/branch/referenceMove';
import type { ChangeKind, SpecMove } from '../review/branch/repositoryMoves';
import type { BranchChanges, ChangedResult } from './branchChanges';

/** One thing that a branch moves, for lists and documents. */
export interface MovedItem {
  readonly kind:
    'reference' | 'tolerance' | 'plan' | 'bench data' | 'waiver' | 'mapping' | 'rules' | 'spec' | 'result' | 'log';
  readonly change: ChangeKind | 'renamed';
  readonly file: string;
  readonly line?: number;
  /** Id of the spec or bench, pattern of a mapping, rule of a waiver. */
  readonly name?: string;
  /** Former path of what was renamed. */
  readonly from?: string;
  readonly keys?: readonly KeyChange[];
  readonly reference?: ReferenceMove;
  readonly result?: ChangedResult;
}

/** Everything that moved: first what results are judged by, in the order in which it is reviewed, then the measurements. */
export function movedItems({ moves, results, logs }: BranchChanges): readonly MovedItem[] {
  const { specs, config } = moves;
  const { file } = config.after;
  return [
    ...specs.flatMap(referenceItems),
    ...specs.flatMap((move) => keyItem(move, 'tolerance', move.tolerance)),
    ...specs.flatMap((move) => keyItem(move, 'plan', move.plan)),
    ...config.benches.map(({ name, change, keys, position }) =>
      item('bench data', file, { name, change, keys, line: position.line }),
    ),
    ...config.waivers.map(({ waiver, change, until }) => {
      const keys =
        until === undefined || until === waiver.until ? [] : [{ key: 'until', before: until, after: waiver.until }];
      const line = change === 'removed' ? 1 : waiver.position.line;
      return item('waiver', file, { name: `${waiver.rule} for ${waiver.file}`, change, keys, line });
    }),
    ...config.mappings.map(({ name, change, keys, position }) =>
      item('mapping', file, { name, change, keys, line: position.line }),
    ),
    ...(config.rules.length === 0 ? [] : [item('rules', file, { change: 'changed', keys: config.rules })]),
    ...specs.flatMap((move) => keyItem(move, 'rules', move.rules)),
    ...specs.flatMap(specItems),
    ...results.flatMap((result): MovedItem[] =>
      result.change === 'unchanged'
        ? []
        : [
            item('result', result.file, {
              change: result.change,
              result,
              ...(result.from !== undefined && { from: result.from }),
            }),
          ],
    ),
    ...logs.map((log) => item('log', log.file, { change: log.change })),
  ];
}

function item(kind: MovedItem['kind'], file: string, rest: Omit<MovedItem, 'kind' | 'file'>): MovedItem {
  const { keys, line, ...others } = rest;
  return {
    kind,
    file,
    ...others,
    ...(line !== undefined && { line: Math.max(1, line) }),
    ...(keys !== undefined && keys.length > 0 && { keys }),
  };
}

function referenceItems({ id, before, after, reference }: SpecMove): MovedItem[] {
  const [a, b] = [before?.reference, after?.reference];
  if (a === undefined && b === undefined) return [];
  if (a === undefined) return [item('reference', b!.file, { name: id, change: 'added' })];
  if (b === undefined) return [item('reference', a.file, { name: id, change: 'removed' })];
  if (reference === undefined) return [];
  const line = reference.moved[0]?.line ?? b.headerLine;
  const from = a.file === b.file ? {} : { from: a.file };
  return [item('reference', b.file, { name: id, change: 'changed', reference, line, ...from })];
}

function keyItem(move: SpecMove, kind: 'tolerance' | 'plan' | 'rules', keys: readonly KeyChange[]): MovedItem[] {
  const [first] = keys;
  const spec = (move.after ?? move.before)!.spec;
  if (first === undefined) return [];
  return [item(kind, spec.file, { name: move.id, change: 'changed', keys, line: spec.positionOf(first.key).line })];
}

function specItems(move: SpecMove): MovedItem[] {
  const { before, after, id, other } = move;
  if (before === undefined) return [item('spec', after!.spec.file, { name: id, change: 'added' })];
  if (after === undefined) return [item('spec', before.spec.file, { name: id, change: 'removed' })];
  const [first] = other;
  const renamed = before.spec.file !== after.spec.file;
  if (first === undefined && !renamed) return [];
  const change = renamed ? { change: 'renamed' as const, from: before.spec.file } : { change: 'changed' as const };
  const line = first === undefined ? 1 : after.spec.positionOf(first.key).line;
  return [item('spec', after.spec.file, { name: id, ...change, keys: other, line })];
}
