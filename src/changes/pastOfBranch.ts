import type { FileVersion, Revisions } from '../ports/revisions';

/** So far back a reference is followed. */
const MOST_MOVES = 12;

/**
 * Questions about the history of a branch. Each is asked once, and may be asked before its answer is needed: git looks for it while results
 * are judged.
 */
export class PastOfBranch {
  readonly #revisions: Pick<Revisions, 'replacedSince' | 'versionsOf'>;
  readonly #base: string;
  readonly #versions = new Map<string, Promise<readonly FileVersion[]>>();
  #replaced: Promise<readonly FileVersion[]> | undefined;

  /** @param base commit that the branch left */
  constructor(revisions: Pick<Revisions, 'replacedSince' | 'versionsOf'>, base: string) {
    this.#revisions = revisions;
    this.#base = base;
  }

  /** Contents that the branch replaced or took away on its way, newest commit first. */
  replaced(): Promise<readonly FileVersion[]> {
    return (this.#replaced ??= metLater(this.#revisions.replacedSince(this.#base)));
  }

  /** Versions of a file up to the base, newest first. */
  versionsOf(path: string): Promise<readonly FileVersion[]> {
    let versions = this.#versions.get(path);
    if (versions === undefined) {
      versions = metLater(this.#revisions.versionsOf(path, this.#base, MOST_MOVES));
      this.#versions.set(path, versions);
    }
    return versions;
  }
}

/** A fault of an answer is met where the answer is needed, and nowhere else. */
function metLater<Value>(answer: Promise<Value>): Promise<Value> {
  answer.catch(() => undefined);
  return answer;
}
