type Child = Node | string | undefined;
type Attributes = Readonly<Record<string, string | boolean | EventListener | undefined>>;

/**
 * Makes an element. Text becomes a text node, never markup, so that no text from a file can act. A function is a listener (`click`, `keydown`), `true`
 * sets an attribute without a value.
 */
export function element<Name extends keyof HTMLElementTagNameMap>(
  name: Name,
  attributes: Attributes = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[Name] {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === 'function') made.addEventListener(key, value);
    else if (value === true) made.setAttribute(key, '');
    else if (typeof value === 'string') made.setAttribute(key, value);
  }
  for (const child of children) if (child !== undefined) made.append(child);
  return made;
}

/** The element of that id, which the page's markup holds. */
export function byId(id: string): HTMLElement {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`The page has no element ${id}.`);
  return found;
}

/** Read out by a screen reader, and shown to nobody else. */
export function speak(text: string): void {
  byId('spoken').textContent = text;
}

export function button(label: string, act: () => void, more: Attributes = {}): HTMLButtonElement {
  return element('button', { type: 'button', click: act, ...more }, label);
}
