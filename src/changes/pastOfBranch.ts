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

  /** Asks for the versions of several files at once. */
  askVersions(paths: readonly string[]): void {
    const open = [...new Set(paths)].filter((path) => !this.#versions.has(path));
    const answer = metLater(this.#revisions.versionsOf(open, this.#base, MOST_MOVES));
    for (const path of open) this.#versions.set(path, metLater(answer.then((all) => all.get(path) ?? [])));
  }

  /** Versions of a file up to the base, newest first. */
  versionsOf(path: string): Promise<readonly FileVersion[]> {
    if (!this.#versions.has(path)) this.askVersions([path]);
    return this.#versions.get(path)!;
  }
}

/** A fault of an answer is met where the answer is needed, and nowhere else. */
function metLater<Value>(answer: Promise<Value>): Promise<Value> {
  answer.catch(() => undefined);
  return answer;
}
