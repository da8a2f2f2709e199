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
