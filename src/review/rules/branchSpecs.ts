import type { SourcePosition } from '../../files/problem';
import { keyChangeText } from '../branch/keyChange';
import type { ReferenceMove, RowMove } from '../branch/referenceMove';
import type { SpecMove } from '../branch/repositoryMoves';
import type { Finding } from '../finding';
import {
  countText,
  decimalText,
  evidenceNumber,
  forceText,
  listText,
  percentText,
  settingText,
  speedText,
} from '../wording';
import { raiseInBranch, turnedText, turnedWith, type BranchContext } from './branchContext';

/** A branch that moves the curves that results are held against. */
export function referenceMoved(context: BranchContext, move: SpecMove): readonly Finding[] {
  const { reference, before, after } = move;
  const turned = turnedWith(context, 'reference', after?.spec.file);
  if (reference === undefined || before?.reference === undefined || after?.reference === undefined) return [];
  if (reference.moved.length + reference.basis.length + reference.added.length === 0) return [];
  const [worst] = reference.moved;
  const { file, headerLine } = after.reference;
  return raiseInBranch(
    context,
    'reference-moved',
    {
      at: { file, position: lineAt(worst?.line ?? headerLine) },
      message: `${move.id}: ${movedText(reference)}${turnedText(turned)}`,
      evidence: {
        pointsMoved: reference.moved.length,
        ...(worst?.share !== undefined && { worst_percent_of_tolerance: evidenceNumber(100 * worst.share, 4) }),
        ...(worst !== undefined && { before_N: evidenceNumber(worst.before), after_N: evidenceNumber(worst.after) }),
        rowsAdded: reference.added.length,
        turned: turned.length,
      },
    },
    before.spec.rules,
  );
}

function movedText({ moved, points, added, basis }: ReferenceMove): string {
  const [worst] = moved;
  const parts = [
    ...(worst === undefined
      ? []
      : [`${moved.length} of ${countText(points, 'point')} moved, most at ${rowText(worst)}`]),
    ...(added.length === 0 ? [] : [`${countText(added.length, 'row')} added`]),
    ...(basis.length === 0 ? [] : [`${listText(basis)} stated otherwise`]),
  ];
  return `${parts.join('; ')}.`;
}

/** `rebound 300 mm/s, R 6: 12 % harder ...` */
export function rowText({ side, velocity, setting, before, after, share, direction }: RowMove): string {
  const at = Object.keys(setting).length === 0 ? '' : ` at ${settingText(setting)}`;
  const size = share === undefined ? '' : `, ${percentText(share)} of tolerance`;
  const alike = forceText(before) === forceText(after);
  const force = (value: number): string => (alike ? `${decimalText(value, 2)} N` : forceText(value));
  return `${side} ${speedText(velocity)}${at}: ${force(before)} to ${force(after)}, ${direction}${size}`;
}

/** Rows, settings or the whole of a reference that a branch takes away: nothing is judged there any more. */
export function referenceRowsRemoved(context: BranchContext, move: SpecMove): readonly Finding[] {
  const { before, after, reference } = move;
  if (before?.reference === undefined || after === undefined) return [];
  const gone = after.reference === undefined;
  const rows = gone ? before.reference.rows.length : (reference?.removed.length ?? 0);
  if (rows === 0) return [];
  const file = after.reference?.file ?? after.spec.file;
  const position = gone ? after.spec.positionOf('reference') : lineAt(after.reference.headerLine);
  return raiseInBranch(
    context,
    'reference-rows-removed',
    {
      at: { file, position },
      message:
        `${move.id}: ${gone ? `the whole reference with its ${countText(rows, 'row')} is gone` : removedText(reference!.removed)}.` +
        turnedText(turnedWith(context, 'reference', after.spec.file)),
      evidence: { rows },
    },
    before.spec.rules,
  );
}

const MOST_NAMED = 5;

function removedText(removed: ReferenceMove['removed']): string {
  const names = removed
    .slice(0, MOST_NAMED)
    .map(({ setting, velocity }) =>
      Object.keys(setting).length === 0 ? speedText(velocity) : `${speedText(velocity)} at ${settingText(setting)}`,
    );
  const more = removed.length > MOST_NAMED ? [`${removed.length - MOST_NAMED} more`] : [];
  return `${countText(removed.length, 'row')} of the reference removed: ${listText([...names, ...more])}`;
}

/** A branch that judges by other tolerances, limits, levels or purpose. */
export function toleranceMoved(context: BranchContext, move: SpecMove): readonly Finding[] {
  const { before, after } = move;
  const keys = [...move.tolerance, ...move.rules];
  const [first] = keys;
  if (before === undefined || after === undefined || first === undefined) return [];
  const turned = [
    ...turnedWith(context, 'tolerance', after.spec.file),
    ...turnedWith(context, 'rules', after.spec.file),
  ];
  return raiseInBranch(
    context,
    'tolerance-moved',
    {
      at: { file: after.spec.file, position: after.spec.positionOf(first.key) },
      message: `${move.id}: ${listText(keys.map(keyChangeText))}.${turnedText([...new Set(turned)])}`,
      evidence: { keys: keys.map(({ key }) => key).join(', '), turned: new Set(turned).size },
    },
    before.spec.rules,
  );
}

/** A branch whose plan asks for less than before. */
export function testPlanNarrowed(context: BranchContext, move: SpecMove): readonly Finding[] {
  const { before, after, narrowed } = move;
  if (before === undefined || after === undefined || narrowed.length === 0) return [];
  const turned = turnedWith(context, 'plan', after.spec.file);
  const key = move.plan[0]?.key ?? 'test';
  return raiseInBranch(
    context,
    'test-plan-narrowed',
    {
      at: { file: after.spec.file, position: after.spec.positionOf(key) },
      message: `${move.id}: ${listText(narrowed)}.${turnedText(turned)}`,
      evidence: { narrowed: narrowed.join('; '), turned: turned.length },
    },
    before.spec.rules,
  );
}

function lineAt(line: number): SourcePosition {
  return { line: Math.max(1, line), column: 1 };
}
