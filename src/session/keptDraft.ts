import { Cell } from './cell';
import { ANCHOR_PARTS, anchorsOf, type KeptAnchor, type KeptDocument } from './keptDocument';

/** A document in the making. */
export class KeptDraft {
  readonly #texts = new Map<string, number>();
  readonly #anchors: number[] = [];
  /** By query and text of the anchors of each key. */
  readonly #ofKey = new Map<number, number[]>();
  readonly #ofCells = new Map<Cell, number>();
  readonly #values: unknown[] = [];
  readonly #cells: number[] = [];
  readonly #below: number[] = [];

  /** Adds the value of a cell, unless it is undefined, which JSON cannot say, or something that it rests on cannot be vouched for. */
  addCell(cell: Cell, walk: number): void {
    const below: (Cell | KeptAnchor)[] = [];
    if (cell.value === undefined || !cell.final || !anchorsBelow(cell, walk, below)) return;
    const anchors = new Set<number>();
    for (const one of below) {
      const anchor = one instanceof Cell ? this.#ofCell(one) : this.#anchorOf(one.query, one.key, one.text);
      if (anchor === undefined) return;
      anchors.add(anchor);
    }
    this.#put(cell.query.name, cell.key, cell.value, anchors);
  }

  add(query: string, key: string, value: unknown, anchors: Iterable<KeptAnchor>): void {
    const numbers: number[] = [];
    for (const anchor of anchors) numbers.push(this.#anchorOf(anchor.query, anchor.key, anchor.text));
    this.#put(query, key, value, numbers);
  }

  document(): KeptDocument {
    const texts = [...this.#texts.keys()];
    return { texts, anchors: this.#anchors, values: this.#values, cells: this.#cells, below: this.#below };
  }

  #put(query: string, key: string, value: unknown, anchors: Iterable<number>): void {
    const from = this.#below.length;
    for (const anchor of anchors) this.#below.push(anchor);
    this.#cells.push(this.#textOf(query), this.#textOf(key), from, this.#below.length);
    this.#values.push(value);
  }

  #ofCell(cell: Cell): number | undefined {
    const known = this.#ofCells.get(cell);
    if (known !== undefined) return known;
    const text = cell.query.anchor?.(cell.value);
    if (text === undefined) return undefined;
    const anchor = this.#anchorOf(cell.query.name, cell.key, text);
    this.#ofCells.set(cell, anchor);
    return anchor;
  }

  #anchorOf(query: string, key: string, text: string): number {
    const [ofQuery, ofKey, ofText] = [this.#textOf(query), this.#textOf(key), this.#textOf(text)];
    const known = this.#ofKey.get(ofKey) ?? [];
    this.#ofKey.set(ofKey, known);
    for (const anchor of known)
      if (this.#anchors[anchor * ANCHOR_PARTS] === ofQuery && this.#anchors[anchor * ANCHOR_PARTS + 2] === ofText)
        return anchor;
    const anchor = this.#anchors.length / ANCHOR_PARTS;
    this.#anchors.push(ofQuery, ofKey, ofText);
    known.push(anchor);
    return anchor;
  }

  #textOf(text: string): number {
    const known = this.#texts.get(text);
    if (known !== undefined) return known;
    this.#texts.set(text, this.#texts.size);
    return this.#texts.size - 1;
  }
}

/**
 * The nearest anchors below a cell, in the order in which they were read: one that was asked for because of another stands behind it.
 * @param walk another number for every call @returns false where something below has no anchor, or is not final
 */
function anchorsBelow(cell: Cell, walk: number, found: (Cell | KeptAnchor)[]): boolean {
  if (cell.kept !== undefined) {
    found.push(...anchorsOf(cell.kept));
    return true;
  }
  for (const read of cell.readings.cells) {
    if (read.walk === walk) continue;
    read.walk = walk;
    if (!read.final) return false;
    if (read.query.anchor !== undefined) found.push(read);
    else if (!anchorsBelow(read, walk, found)) return false;
  }
  return cell.readings.cells.length > 0;
}
