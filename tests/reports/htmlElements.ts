import { parse, parseFragment, type DefaultTreeAdapterTypes } from 'parse5';

export interface SeenElement {
  readonly name: string;
  readonly attributes: ReadonlyMap<string, string>;
  /** All text inside it. */
  readonly text: string;
}

function textOf(node: DefaultTreeAdapterTypes.Node): string {
  if (node.nodeName === '#text' && 'value' in node) return node.value;
  return 'childNodes' in node ? node.childNodes.map(textOf).join('') : '';
}

/** Every element as an HTML parser sees it, in document order. */
export function elementsOf(html: string): readonly SeenElement[] {
  const found: SeenElement[] = [];
  const walk = (node: DefaultTreeAdapterTypes.Node): void => {
    if ('tagName' in node)
      found.push({
        name: node.tagName,
        attributes: new Map(node.attrs.map((a) => [a.name, a.value])),
        text: textOf(node),
      });
    if ('childNodes' in node) node.childNodes.forEach(walk);
  };
  walk(/^\s*<!doctype/i.test(html) ? parse(html) : parseFragment(html));
  return found;
}

/** Elements and attributes that no report may have: they run, load, link or style. */
export function unwelcomeIn(html: string): readonly string[] {
  return elementsOf(html).flatMap((element) => [
    ...(['script', 'img', 'image', 'iframe', 'object', 'embed', 'link', 'foreignobject', 'form', 'b'].includes(
      element.name.toLowerCase(),
    )
      ? [element.name]
      : []),
    ...[...element.attributes].flatMap(([name, value]) =>
      name.startsWith('on') || name === 'style' || name === 'src' || (name === 'href' && !value.startsWith('#'))
        ? [`${element.name} ${name}`]
        : [],
    ),
  ]);
}
