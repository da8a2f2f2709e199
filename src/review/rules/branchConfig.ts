import { keyChangeText } from '../branch/keyChange';
import type { ConfigMoves, NamedMove } from '../branch/repositoryMoves';
import type { Finding } from '../finding';
import { countText, listText } from '../wording';
import { raiseInBranch, turnedText, turnedWith, type BranchContext } from './branchContext';

/** A branch that changes how logs are read. @param logs logs of both states that are read otherwise now, by the pattern of their mapping */
export function mappingMoved(
  context: BranchContext,
  { after, mappings }: ConfigMoves,
  logs: ReadonlyMap<string, number>,
): readonly Finding[] {
  return mappings.flatMap((move) => {
    const count = logs.get(move.name) ?? 0;
    if (count === 0) return [];
    return raiseInBranch(context, 'mapping-moved', {
      at: { file: after.file, position: move.position },
      message:
        `The mapping of ${move.name} ${changeText(move)}; ${countText(count, 'log')} that the base has ${count === 1 ? 'is' : 'are'} read otherwise.` +
        turnedText(turnedWith(context, 'mapping')),
      evidence: { files: move.name, logs: count, keys: move.keys.map(({ key }) => key).join(', ') },
    });
  });
}

/** A branch that changes the data of a bench that results of the base were measured on. */
export function benchDataMoved(
  context: BranchContext,
  { after, benches }: ConfigMoves,
  used: ReadonlySet<string>,
): readonly Finding[] {
  return benches.flatMap((move) => {
    if (move.change === 'added' && !used.has(move.name)) return [];
    const turned = turnedWith(context, 'bench data');
    return raiseInBranch(context, 'bench-data-moved', {
      at: { file: after.file, position: move.position },
      message: `The data of ${move.name} ${changeText(move)}.${turnedText(turned)}`,
      evidence: { bench: move.name, keys: move.keys.map(({ key }) => key).join(', '), turned: turned.length },
    });
  });
}

/** A branch that adds a waiver, or lets one hold longer. */
export function waiverAdded(context: BranchContext, { after, waivers }: ConfigMoves): readonly Finding[] {
  return waivers.flatMap(({ waiver, change, until }) => {
    if (change === 'removed' || (until !== undefined && until >= waiver.until)) return [];
    const what = until === undefined ? 'is waived' : `stays waived beyond ${until}`;
    const turned = turnedWith(context, 'waiver');
    return raiseInBranch(context, 'waiver-added', {
      at: { file: after.file, position: waiver.position },
      message: `${waiver.rule} ${what} for ${waiver.file} until ${waiver.until}, by ${waiver.by}: ${waiver.reason.replace(/\.$/u, '')}.${turnedText(turned)}`,
      evidence: { rule: waiver.rule, files: waiver.file, until: waiver.until, by: waiver.by, turned: turned.length },
    });
  });
}

/** Levels and limits that damper-review.yaml sets for all specs. */
export function levelsMoved(context: BranchContext, { after, rules }: ConfigMoves): readonly Finding[] {
  const [first] = rules;
  if (first === undefined) return [];
  const turned = turnedWith(context, 'rules');
  return raiseInBranch(context, 'tolerance-moved', {
    at: { file: after.file, position: after.positionOf(first.key) },
    message: `For all specs: ${listText(rules.map(keyChangeText))}.${turnedText(turned)}`,
    evidence: { keys: rules.map(({ key }) => key).join(', '), turned: turned.length },
  });
}

function changeText({ change, keys }: NamedMove): string {
  if (change === 'removed') return 'is gone';
  if (change === 'added') return 'is new';
  return `changed: ${listText(keys.map(keyChangeText))}`;
}
