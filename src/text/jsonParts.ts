/** A list of a document whose entries are made one at a time, as it is written. */
export class ListInParts<Item = unknown> {
  constructor(
    readonly items: readonly Item[],
    readonly entryOf: (item: Item) => unknown,
  ) {}
}

/**
 * What `JSON.stringify(document, undefined, 2)` gives, with a line end, in parts: the text of thousands of results with their points is longer
 * than a string may be, and their entries are more than there need be at once.
 *
 * @param document its values as they are, or lists in parts; a key that is undefined is left out
 */
export function* jsonParts(document: Readonly<Record<string, unknown>>): Generator<string, void> {
  let before = '{';
  for (const [key, value] of Object.entries(document)) {
    if (value === undefined) continue;
    const name = `${before}\n  ${JSON.stringify(key)}: `;
    before = ',';
    if (!(value instanceof ListInParts)) yield `${name}${indented(value, '  ')}`;
    else yield* listParts(name, value);
  }
  yield before === '{' ? '{}\n' : '\n}\n';
}

function* listParts(name: string, { items, entryOf }: ListInParts): Generator<string, void> {
  let before = `${name}[`;
  for (const item of items) {
    yield `${before}\n    ${indented(entryOf(item), '    ')}`;
    before = ',';
  }
  yield items.length === 0 ? `${name}[]` : '\n  ]';
}

function indented(value: unknown, by: string): string {
  return JSON.stringify(value, undefined, 2).replaceAll('\n', `\n${by}`);
}
