import { BETWEEN_KEYS } from './keptRows';

/** Numbers that are others where an input is: of a file its size, its time of change and its number. */
export type Look = readonly [number, number, number];
export const LOOK_NUMBERS = 3;

/** For inputs that thousands rest on: whether they are as they were is told without one text being made. */
export interface InputLooks {
  /** How it looks now; undefined where numbers do not vouch for it. */
  of(key: string): Look | undefined;
  /** Whether each of them still looks as it did. @param keys with {@link BETWEEN_KEYS} between them, sorted. @returns 1 for each that does */
  compare(keys: string, numbers: Float64Array): Uint8Array;
}

/** How the inputs of one query looked that were kept. */
export interface KeptLooks {
  readonly keys: string;
  /** Number of the node of each. */
  readonly nodes: Int32Array;
  /** {@link LOOK_NUMBERS} each. */
  readonly numbers: Float64Array;
}

/** Looks of one query in the making. */
export class LooksDraft {
  readonly #looks: { readonly key: string; readonly node: number; readonly look: Look }[] = [];

  add(key: string, node: number, look: Look): void {
    this.#looks.push({ key, node, look });
  }

  /** Sorted by key, as files are listed. */
  looks(): KeptLooks {
    const sorted = this.#looks.sort((a, b) => (a.key < b.key ? -1 : 1));
    return {
      keys: sorted.map(({ key }) => key).join(BETWEEN_KEYS),
      nodes: Int32Array.from(sorted, ({ node }) => node),
      numbers: Float64Array.from(sorted.flatMap(({ look }) => look)),
    };
  }
}
