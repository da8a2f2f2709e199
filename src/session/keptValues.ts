import type { ValueBytes } from './keptDocument';

/** So many values are read one by one; whoever asks for more is likely to ask for all of them. */
const MOST_SINGLE = 16;

/** The values of one query, read when they are asked for. */
export class KeptValues {
  readonly #bytes: ValueBytes;
  #singles = 0;
  #all: readonly unknown[] | undefined;

  constructor(bytes: ValueBytes) {
    this.#bytes = bytes;
  }

  at(index: number): unknown {
    if (this.#all === undefined && this.#singles < MOST_SINGLE) {
      this.#singles += 1;
      const { commas } = this.#bytes;
      return parsed(this.#bytes.json.subarray(index === 0 ? 0 : commas[index - 1]! + 1, commas[index]), '', '');
    }
    this.#all ??= parsed(this.#bytes.json.subarray(0, -1), '[', ']') as readonly unknown[];
    return this.#all[index];
  }
}

function parsed(json: Uint8Array, before: string, after: string): unknown {
  return JSON.parse(before + new TextDecoder().decode(json) + after);
}
