import type { WordBytes } from './keptRows';

/** So many are looked for one by one among those that were kept; for more a map of all of them is made. */
const MOST_SEARCHED = 200;

/** Words by number: those that were kept, which are read only where one is asked for, and behind them those that came since. */
export class WordTable {
  readonly #kept: WordBytes;
  readonly #numbers = new Map<string, number>();
  readonly #added: string[] = [];
  /** Those of the kept ones that were asked for. */
  readonly #read = new Map<number, string>();
  readonly #decoder = new TextDecoder();
  #hasAll: boolean;

  constructor(kept: WordBytes) {
    this.#kept = kept;
    this.#hasAll = kept.ends.length === 0;
  }

  get size(): number {
    return this.#kept.ends.length + this.#added.length;
  }

  at(number: number): string {
    const { ends, text } = this.#kept;
    if (number >= ends.length) return this.#added[number - ends.length]!;
    let word = this.#read.get(number);
    if (word === undefined) {
      word = this.#decoder.decode(text.subarray(this.#start(number), ends[number]));
      this.#read.set(number, word);
    }
    return word;
  }

  /** Numbers of words; what is new gets the next one. */
  numbersOf(words: readonly string[]): readonly number[] {
    this.#find(words);
    return words.map((word) => {
      let number = this.#numbers.get(word);
      if (number === undefined) this.#numbers.set(word, (number = this.#kept.ends.length + this.#added.push(word) - 1));
      return number;
    });
  }

  /** Makes the numbers of those words known that were kept. */
  #find(words: readonly string[]): void {
    if (this.#hasAll) return;
    const open = new Set(words.filter((word) => !this.#numbers.has(word)));
    if (open.size > MOST_SEARCHED) this.#findAll();
    else if (open.size > 0) this.#findFew(open);
  }

  #findAll(): void {
    this.#hasAll = true;
    for (let number = 0; number < this.#kept.ends.length; number++) this.#numbers.set(this.at(number), number);
  }

  /** Looks through the lengths of all, at the bytes of those as long as one of the words. */
  #findFew(words: ReadonlySet<string>): void {
    const encoder = new TextEncoder();
    // Tens of thousands of lengths are looked at by code that has just started: nothing is called, and nothing made, for each.
    const byLength: ({ readonly word: string; readonly bytes: Uint8Array }[] | undefined)[] = [];
    for (const word of words) {
      const bytes = encoder.encode(word);
      const alike = byLength[bytes.length];
      if (alike === undefined) byLength[bytes.length] = [{ word, bytes }];
      else alike.push({ word, bytes });
    }
    const { ends, text } = this.#kept;
    let start = 0;
    for (let number = 0; number < ends.length; number++) {
      const end = ends[number]!;
      const alike = byLength[end - start];
      if (alike !== undefined)
        for (const { word, bytes } of alike) if (isAt(bytes, text, start)) this.#numbers.set(word, number);
      start = end + 1;
    }
  }

  #start(number: number): number {
    return number === 0 ? 0 : this.#kept.ends[number - 1]! + 1;
  }
}

function isAt(bytes: Uint8Array, text: Uint8Array, start: number): boolean {
  for (let i = 0; i < bytes.length; i++) if (bytes[i] !== text[start + i]) return false;
  return true;
}
