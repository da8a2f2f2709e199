import type { BranchChanges, ChangedResult } from '../changes/branchChanges';
import type { TurnedResult } from '../changes/causes';
import { movedItems, type MovedItem } from '../changes/movedItems';
import { PARTS } from '../changes/parts';
import { keyChangeText } from '../review/branch/keyChange';
import { rowText } from '../review/rules/branchSpecs';
import { BRANCH_RULES } from '../review/rules/entriesOfBranches';
import type { Finding } from '../review/finding';
import type { ReviewOutcome } from '../review/judgedResult';
import { verdictSentence } from '../review/verdictSentence';
import { countText, listText } from '../review/wording';

/** Sentences about a branch that every report tells alike; they may hold text from files: escape them where they are shown. */

/** `Against where this branch left origin/main (1c8dec3a9b1f), with changes that are not committed yet.` */
export function baseSentence({ base, head }: BranchChanges): string {
  const more = head.uncommitted ? ', with changes that are not committed yet' : '';
  return `Against ${base.words} (${base.commit.slice(0, 12)})${more}.`;
}

/** What a reviewer must know first: whether what results are judged by moved here, and what turns with it. */
export function movedSentence(changes: BranchChanges): string {
  const items = movedItems(changes);
  const kinds = new Set(
    items.filter((item) => JUDGED_BY.includes(item.kind) && !isNew(item, items)).map(({ kind }) => kind),
  );
  if (kinds.size === 0)
    return items.length === 0
      ? 'Nothing that results are judged by moved here.'
      : 'Nothing that results are judged by moved here: every difference is in the measurements.';
  const names = JUDGED_BY.filter((kind) => kinds.has(kind)).map((kind) =>
    kind === 'rules' ? 'level of a rule' : kind,
  );
  return `This branch itself moves: ${listText(names)}. ${turnedSentence(changes)}`;
}

/** A spec that comes with its curves, and data of a bench that was not there, move nothing that anything was judged by before; a new waiver does. */
function isNew({ kind, change, name }: MovedItem, items: readonly MovedItem[]): boolean {
  if (change !== 'added') return false;
  if (kind === 'reference')
    return items.some((one) => one.kind === 'spec' && one.change === 'added' && one.name === name);
  return kind === 'spec' || kind === 'bench data';
}

/** Parts that are files of the repository, other than the measurements themselves. */
const JUDGED_BY: readonly MovedItem['kind'][] = PARTS.filter((part) => part !== 'method' && part !== 'measurement');

function turnedSentence({ turned }: BranchChanges): string {
  if (turned.length === 0) return 'No verdict turns.';
  const measured = turned.filter(({ cause }) => cause === 'measurement').length;
  const rest = turned.length - measured;
  return `${countText(turned.length, 'verdict')} ${turned.length === 1 ? 'turns' : 'turn'}, ${rest} of them not by the measurement.`;
}

/** `pass to fail with the reference` */
export function turnedPhrase({ before, after, cause }: TurnedResult): string {
  return `${before} to ${after} with the ${cause}`;
}

/** One line for something that moved. */
export function movedText(item: MovedItem): string {
  const { kind, change, name, from, keys, reference } = item;
  const what = name === undefined ? kind : `${kind} of ${name}`;
  const details = [
    ...(from === undefined ? [] : [`from ${from}`]),
    ...(keys ?? []).map(keyChangeText),
    ...(reference === undefined ? [] : referenceDetails(reference)),
  ];
  return `${what} ${change}${details.length === 0 ? '' : `: ${details.join('; ')}`}`;
}

function referenceDetails({ moved, removed, added, basis }: NonNullable<MovedItem['reference']>): readonly string[] {
  const [worst] = moved;
  return [
    ...(worst === undefined ? [] : [`${countText(moved.length, 'point')} moved, most ${rowText(worst)}`]),
    ...(removed.length === 0 ? [] : [`${countText(removed.length, 'row')} removed`]),
    ...(added.length === 0 ? [] : [`${countText(added.length, 'row')} added`]),
    ...(basis.length === 0 ? [] : [`${listText(basis)} stated otherwise`]),
  ];
}

/** What moved besides results and logs, which have lists of their own. */
export function movedBesides(changes: BranchChanges): readonly MovedItem[] {
  return movedItems(changes).filter(({ kind }) => kind !== 'result' && kind !== 'log');
}

/** A result before and after, in a sentence each; undefined where it was or is not. */
export function resultSides({ before, after }: ChangedResult): { readonly before?: string; readonly after?: string } {
  return {
    ...(before !== undefined && { before: verdictSentence(before) }),
    ...(after !== undefined && { after: verdictSentence(after) }),
  };
}

export function turnedOf({ turned }: BranchChanges, { file }: ChangedResult): TurnedResult | undefined {
  return turned.find((one) => one.file === file);
}

export function isAboutBranch({ rule }: Finding): boolean {
  return Object.hasOwn(BRANCH_RULES, rule);
}

/** `2 results added, 1 changed; 3 logs added` */
export function countsSentence({ results, logs }: BranchChanges): string {
  const texts = [countsOf(results, 'result'), countsOf(logs, 'log')].filter((text) => text !== '');
  return texts.length === 0 ? 'No result and no log changed.' : `${texts.join('; ')}.`;
}

function countsOf(items: readonly { readonly change: string }[], one: string): string {
  const counts = ['added', 'changed', 'renamed', 'removed'].flatMap((change) => {
    const count = items.filter((item) => item.change === change).length;
    return count === 0 ? [] : [`${countText(count, one)} ${change}`];
  });
  return counts.join(', ');
}

/** The branch as a review of what it changed, for formats that know reviews alone. */
export function reviewOfBranch(changes: BranchChanges): ReviewOutcome {
  const { method, verdict, findings, unreadable } = changes;
  return { method, verdict, findings, unreadable, results: changes.results.flatMap(({ after }) => after ?? []) };
}
