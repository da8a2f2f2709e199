import type { JudgedResult } from '../review/judgedResult';
import { isConcerned, judgeEntries, verdictsOf, type EntryState, type JudgedVerdict } from '../session/repositoryState';
import type { ReviewSession, RunOptions } from '../session/reviewSession';
import type { BranchStates } from './branchStates';
import type { Sides } from './branchTests';
import { isOwn, pairEntries, type EntryPair, type JudgedPair } from './entryPairs';
import type { Side } from './parts';

/**
 * Judges entries at the base and at the head of a branch: those that are shown whole, with what is found about them. Of all others the
 * verdict alone is asked, and most of a branch that moves a reference are others.
 */
export class JudgedSides {
  readonly #session: ReviewSession;
  readonly #states: BranchStates;
  readonly #options: RunOptions;
  readonly #whole = { base: new Map<string, JudgedResult>(), head: new Map<string, JudgedResult>() };

  constructor(session: ReviewSession, states: BranchStates, options: RunOptions) {
    this.#session = session;
    this.#states = states;
    this.#options = options;
  }

  /**
   * Pairs of those that the branch may have turned, and of others of the same builds. The session shows head from here on.
   * @param changed paths of files whose content differs
   */
  async judge(sides: Sides, changed: ReadonlySet<string>): Promise<readonly JudgedPair[]> {
    const wanted = wantedPairs(sides, changed);
    const own = wanted.filter((pair) => isOwn(pair, changed));
    const others = wanted.filter((pair) => !isOwn(pair, changed));
    const before = await this.#judgeSide('base', own, others);
    const after = await this.#judgeSide('head', own, others);
    return wanted.map((pair) => {
      const [a, b] = [pair.base && before.get(pair.base.text), pair.head && after.get(pair.head.text)];
      return { ...pair, ...(a && { before: a }), ...(b && { after: b }) };
    });
  }

  /** Judges pairs whole that are not yet. The session shows head from here on. */
  async complete(pairs: readonly JudgedPair[]): Promise<void> {
    await this.#judgeWhole('base', pairs);
    await this.#judgeWhole('head', pairs);
    this.#states.showAll('head');
  }

  /** The whole of an entry that was judged whole. */
  of(side: Side, entry: EntryState | undefined): JudgedResult | undefined {
    return entry && this.#whole[side].get(entry.text);
  }

  async #judgeSide(
    side: Side,
    own: readonly EntryPair[],
    others: readonly EntryPair[],
  ): Promise<ReadonlyMap<string, JudgedVerdict>> {
    this.#states.showAll(side);
    await this.#judgeWhole(side, own);
    const verdicts = await this.#session.run((run) => verdictsOf(run, textsOf(others, side)), this.#options);
    return new Map([...this.#whole[side], ...verdicts]);
  }

  async #judgeWhole(side: Side, pairs: readonly EntryPair[]): Promise<void> {
    const known = this.#whole[side];
    const open = textsOf(pairs, side).filter((text) => !known.has(text));
    if (open.length === 0) return;
    this.#states.showAll(side);
    const judged = await this.#session.run((run) => judgeEntries(run, open), this.#options);
    for (const [text, result] of judged) known.set(text, result);
  }
}

function wantedPairs({ base, head }: Sides, changed: ReadonlySet<string>): readonly EntryPair[] {
  const pairs = pairEntries(base, head);
  const concerned = new Set(pairs.filter((pair) => isConcerned(pair.base, pair.head, changed)));
  const builds = new Set(
    [...concerned].flatMap((pair) => [pair.base, pair.head].map((entry) => entry && buildKey(entry))),
  );
  return pairs.filter(
    (pair) => concerned.has(pair) || [pair.base, pair.head].some((entry) => entry && builds.has(buildKey(entry))),
  );
}

function buildKey({ head: { spec, serial, build } }: EntryState): string {
  return serial === '' ? '' : JSON.stringify([spec, serial, build]);
}

function textsOf(pairs: readonly EntryPair[], side: Side): readonly string[] {
  return pairs.flatMap((pair) => pair[side]?.text ?? []);
}
