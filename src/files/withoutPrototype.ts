/** A record whose names come from a file: looking up `constructor` in it finds nothing. */
export function withoutPrototype<Value>(
  entries: readonly (readonly [string, Value])[],
): Readonly<Record<string, Value>> {
  return Object.assign(Object.create(null) as Record<string, Value>, Object.fromEntries(entries));
}
