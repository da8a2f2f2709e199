import { parseFragment, type DefaultTreeAdapterTypes } from 'parse5';

export interface SeenTable {
  readonly caption: string;
  /** Cells of a body row. */
  readonly columns: number;
  readonly rows: readonly (readonly string[])[];
}

function textOf(node: DefaultTreeAdapterTypes.Node): string {
  if (node.nodeName === '#text' && 'value' in node) return node.value;
  return 'childNodes' in node ? node.childNodes.map(textOf).join('') : '';
}

function find(node: DefaultTreeAdapterTypes.Node, names: readonly string[]): DefaultTreeAdapterTypes.Element[] {
  if (!('childNodes' in node)) return [];
  return node.childNodes.flatMap((child) =>
    'tagName' in child && names.includes(child.tagName) ? [child] : find(child, names),
  );
}

/** Every table of a piece of HTML with the text of its body's cells. */
export function tablesOf(html: string): readonly SeenTable[] {
  return find(parseFragment(html), ['table']).map((table) => {
    const rows = find(table, ['tbody'])
      .flatMap((body) => find(body, ['tr']))
      .map((row) => find(row, ['td', 'th']).map((cell) => textOf(cell).trim()));
    return { caption: find(table, ['caption']).map(textOf).join('').trim(), columns: rows[0]?.length ?? 0, rows };
  });
}
