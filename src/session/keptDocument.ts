/**
 * Kept values as plain JSON: what a later process takes in place of computing. A value holds as long as every anchor's query still has the
 * text that stands here. Lists of numbers, as a repository has tens of thousands of anchors and a list for each of them would take most of
 * the time of a second run to read.
 */
export interface KeptDocument {
  /** Each text once: names of queries, keys, and texts of anchors. */
  readonly texts: readonly string[];
  /** Three numbers an anchor, each of a text: query, key, and the text that its value has. */
  readonly anchors: readonly number[];
  readonly values: readonly unknown[];
  /** Four numbers a value: query and key as texts, and where its anchors begin and end in `below`. */
  readonly cells: readonly number[];
  /** Which anchors are below a value, in the order in which they were read. */
  readonly below: readonly number[];
}

export const ANCHOR_PARTS = 3;
export const CELL_PARTS = 4;

export interface KeptAnchor {
  readonly query: string;
  readonly key: string;
  readonly text: string;
}

/** A kept value. */
export interface FoundKept {
  readonly document: KeptDocument;
  /** Which value of the document it is. */
  readonly index: number;
}

export function keptValue({ document, index }: FoundKept): unknown {
  return document.values[index];
}

/** Where the anchors of a value begin and end in `below`. */
export function anchorRange({ document: { cells }, index }: FoundKept): { readonly from: number; readonly to: number } {
  return { from: cells[index * CELL_PARTS + 2]!, to: cells[index * CELL_PARTS + 3]! };
}

/** @param anchor its number, as in `below` */
export function anchorAt({ texts, anchors }: KeptDocument, anchor: number): KeptAnchor {
  const at = anchor * ANCHOR_PARTS;
  return { query: texts[anchors[at]!]!, key: texts[anchors[at + 1]!]!, text: texts[anchors[at + 2]!]! };
}

export function* anchorsOf(found: FoundKept): Iterable<KeptAnchor> {
  const { from, to } = anchorRange(found);
  for (let at = from; at < to; at++) yield anchorAt(found.document, found.document.below[at]!);
}

/** The store's own digest holds the content together; this tells another form. */
export function isKeptDocument(value: unknown): value is KeptDocument {
  const { texts, anchors, values, cells, below } = (value ?? {}) as Partial<KeptDocument>;
  return [texts, anchors, values, cells, below].every(Array.isArray);
}
