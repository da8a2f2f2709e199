import type { Finding } from './finding';
import type { FindingCounts } from './toldOutcome';

const LEVELS = ['error', 'warning', 'note'] as const;
const LEVEL_ORDER = { error: 0, warning: 1, note: 2 } as const;
/** Added to the rank of a finding that is waived. */
const WAIVED = LEVELS.length;
/** Ranks from 0: those that count by level, then waived ones by level. */
export const RANKS = 2 * LEVELS.length;

/** Where a finding stands among others: those that count before waived ones, then by level. */
export function rankOf({ level, waived }: Pick<Finding, 'level' | 'waived'>): number {
  return LEVEL_ORDER[level] + (waived === undefined ? 0 : WAIVED);
}

/** Rank of an error that counts. */
export const ERROR_RANK = LEVEL_ORDER.error;

export function countsOf(findings: readonly Pick<Finding, 'level' | 'waived'>[]): FindingCounts {
  return countsOfRanks(findings.map(rankOf));
}

function countsOfRanks(ranks: readonly number[]): FindingCounts {
  const counts = { error: 0, warning: 0, note: 0, waived: 0 };
  for (const rank of ranks) counts[LEVELS[rank] ?? 'waived'] += 1;
  return counts;
}

/**
 * Findings, each once: a fault of a reference is found by every result that uses it. Texts come as numbers that are equal for equal texts,
 * so that the findings of thousands of results are told apart without one text being looked at.
 */
export class FindingTally {
  readonly #ranks: number[] = [];
  /** Rule, file, line and column of each. */
  readonly #places: number[] = [];
  /** By message, the first finding that has it. Few messages stand twice, so that names are made of those alone. */
  readonly #byMessage: (number | undefined)[];
  readonly #byName = new Map<string, number>();

  /** @param texts how many there are about; more may come */
  constructor(texts = 0) {
    this.#byMessage = new Array<number | undefined>(texts);
  }

  /** @returns which one it is, where it is to stand there; undefined where one stands for it already */
  add(rank: number, rule: number, file: number, line: number, column: number, message: number): number | undefined {
    const first = this.#byMessage[message];
    if (first === undefined) {
      this.#byMessage[message] = this.#ranks.length;
    } else {
      const name = `${message} ${rule} ${file} ${line} ${column}`;
      const twin = this.#isAt(first, rule, file, line, column) ? first : this.#byName.get(name);
      if (twin !== undefined) {
        // A finding that counts somewhere must not be hidden by its waived twin.
        if (this.#ranks[twin]! < WAIVED || rank >= WAIVED) return undefined;
        this.#ranks[twin] = rank;
        return twin;
      }
      this.#byName.set(name, this.#ranks.length);
    }
    this.#places.push(rule, file, line, column);
    return this.#ranks.push(rank) - 1;
  }

  /** How many different ones there are. */
  get size(): number {
    return this.#ranks.length;
  }

  counts(): FindingCounts {
    return countsOfRanks(this.#ranks);
  }

  #isAt(index: number, rule: number, file: number, line: number, column: number): boolean {
    const places = this.#places;
    const at = 4 * index;
    return places[at] === rule && places[at + 1] === file && places[at + 2] === line && places[at + 3] === column;
  }
}
