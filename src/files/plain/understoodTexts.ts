/**
 * A table of what texts were found to mean, so that the same text is understood once. It forgets everything when it is
 * full: a file with thousands of different texts costs no memory, and what is common comes back at once.
 */
export function keptUpTo<Value>(most: number): (text: string, make: (text: string) => Value) => Value {
  const kept = new Map<string, Value>();
  return (text, make) => {
    const known = kept.get(text);
    if (known !== undefined || kept.has(text)) return known as Value;
    const value = make(text);
    if (kept.size >= most) kept.clear();
    kept.set(text, value);
    return value;
  };
}

// eslint-disable-next-line no-control-regex -- control characters are what it looks for
const CONTROL = /[\u0000-\u0008\u000b\u000e-\u001a\u001c-\u001f]/;

/** Whether a text holds a control character that no text file does: any but tab, line ends, form feed and escape (contentLook.ts). */
export function holdsControl(text: string): boolean {
  return CONTROL.test(text);
}
