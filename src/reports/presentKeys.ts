/** Building blocks for documents in which a key is absent where there is nothing to say. */

/** `{ key: value }`, or nothing where the value is undefined. */
export function given<Key extends string, Value>(key: Key, value: Value | undefined): Partial<Record<Key, Value>> {
  return (value === undefined ? {} : { [key]: value }) as Partial<Record<Key, Value>>;
}

/** `{ key: rounded value }`, or nothing where the value is undefined, NaN or infinite, which JSON cannot say. */
export function finite<Key extends string>(
  key: Key,
  value: number | undefined,
  round: (value: number) => number,
): Partial<Record<Key, number>> {
  return value === undefined || !Number.isFinite(value) ? {} : given(key, round(value));
}

/** A copy of a record whose keys come from files: `__proto__` stays a key like any other; numbers that JSON cannot say are left out. */
export function nested<Value extends number | string>(record: Readonly<Record<string, Value>>): Record<string, Value> {
  return Object.fromEntries(
    Object.entries(record).filter(([, value]) => typeof value !== 'number' || Number.isFinite(value)),
  );
}
