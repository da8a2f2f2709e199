import type { TextPiece } from '../review/toldOutcome';

/** Puts a text together of pieces, many of which are bytes already: those that lie behind one another are copied at once. */
export class TextPieces {
  readonly #parts: Uint8Array[] = [];
  #texts: string[] = [];
  #bytes: Uint8Array | undefined;
  #from = 0;
  #end = 0;

  add(piece: TextPiece): void {
    if (typeof piece === 'string') {
      this.#endBytes();
      this.#texts.push(piece);
    } else if (piece.bytes === this.#bytes && piece.from === this.#end) {
      this.#end = piece.end;
    } else {
      this.#endTexts();
      this.#endBytes();
      this.#bytes = piece.bytes;
      this.#from = piece.from;
      this.#end = piece.end;
    }
  }

  /** All of it in UTF-8. */
  join(): Uint8Array {
    this.#endTexts();
    this.#endBytes();
    const whole = new Uint8Array(this.#parts.reduce((sum, { length }) => sum + length, 0));
    let at = 0;
    for (const part of this.#parts) {
      whole.set(part, at);
      at += part.length;
    }
    return whole;
  }

  #endTexts(): void {
    if (this.#texts.length === 0) return;
    this.#parts.push(new TextEncoder().encode(this.#texts.join('')));
    this.#texts = [];
  }

  #endBytes(): void {
    if (this.#bytes !== undefined && this.#end > this.#from)
      this.#parts.push(this.#bytes.subarray(this.#from, this.#end));
    this.#bytes = undefined;
  }
}
