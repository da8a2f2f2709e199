import type { TurnedVerdict } from '../review/branch/repositoryMoves';
import type { Verdict } from '../review/judgedResult';
import type { RunOptions, ReviewSession } from '../session/reviewSession';
import { verdictsOf } from '../session/repositoryState';
import type { BranchStates } from './branchStates';
import { fileOf, type JudgedPair } from './entryPairs';
import type { Part } from './parts';

/** A verdict that turned, and with what. */
export interface TurnedResult extends TurnedVerdict {
  readonly before: Verdict;
  readonly after: Verdict;
  /** `reference`; `reference and tolerance` where it took both; `reference or measurement` where either would have done. */
  readonly cause: string;
  readonly parts: readonly Part[];
}

/**
 * Why verdicts turned, by judging again with one part taken from the other state. A part is a cause where the verdict would not be what it is
 * without it; where no single part is, those that turn it by themselves are.
 */
export async function turnedResults(
  states: BranchStates,
  session: ReviewSession,
  pairs: readonly JudgedPair[],
  options: RunOptions,
): Promise<readonly TurnedResult[]> {
  const turned = pairs.filter(isTurned);
  if (turned.length === 0) return [];
  const parts = states.changedParts();
  const needed = await partsThat(
    parts,
    turned,
    async (part) => {
      states.showBut('head', part);
      return verdictsIn(session, turned, options);
    },
    (verdict, pair) => verdict !== undefined && verdict !== pair.after.verdict,
  );
  const open = turned.filter((pair) => needed.get(pair)!.length === 0);
  const enough = await partsThat(
    open.length === 0 ? [] : parts,
    open,
    async (part) => {
      states.showBut('base', part);
      return verdictsIn(session, open, options);
    },
    (verdict, pair) => verdict === pair.after.verdict,
  );
  states.showAll('head');
  return turned.map((pair) => turnedResult(pair, needed.get(pair)!, enough.get(pair) ?? [], parts));
}

type TurnedPair = JudgedPair & Required<Pick<JudgedPair, 'before' | 'after'>>;

function isTurned(pair: JudgedPair): pair is TurnedPair {
  return pair.before !== undefined && pair.after !== undefined && pair.before.verdict !== pair.after.verdict;
}

async function partsThat(
  parts: readonly Part[],
  pairs: readonly TurnedPair[],
  judged: (part: Part) => Promise<(pair: TurnedPair) => Verdict | undefined>,
  holds: (verdict: Verdict | undefined, pair: TurnedPair) => boolean,
): Promise<ReadonlyMap<TurnedPair, readonly Part[]>> {
  const found = new Map<TurnedPair, Part[]>(pairs.map((pair) => [pair, []]));
  for (const part of parts) {
    const verdictOf = await judged(part);
    for (const pair of pairs) if (holds(verdictOf(pair), pair)) found.get(pair)!.push(part);
  }
  return found;
}

async function verdictsIn(
  session: ReviewSession,
  pairs: readonly TurnedPair[],
  options: RunOptions,
): Promise<(pair: TurnedPair) => Verdict | undefined> {
  const texts = new Set(pairs.flatMap(({ base, head }) => [base, head].flatMap((one) => (one ? [one.text] : []))));
  const judged = await session.run((run) => verdictsOf(run, [...texts]), options);
  const of = (entry: { readonly text: string } | undefined): Verdict | undefined =>
    entry && judged.get(entry.text)?.verdict;
  return ({ base, head }) => of(head) ?? of(base);
}

function turnedResult(
  pair: TurnedPair,
  needed: readonly Part[],
  enough: readonly Part[],
  all: readonly Part[],
): TurnedResult {
  const parts = needed.length > 0 ? needed : enough.length > 0 ? enough : all;
  const specFile = pair.head?.head.specPath ?? pair.base?.head.specPath;
  return {
    file: fileOf(pair),
    before: pair.before.verdict,
    after: pair.after.verdict,
    cause: parts.join(needed.length === 0 && enough.length > 0 ? ' or ' : ' and '),
    parts,
    ...(specFile !== undefined && { specFile }),
  };
}
