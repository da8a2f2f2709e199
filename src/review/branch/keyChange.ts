/** One key whose value differs between two states, as the files spell it; a value is absent where the key is. */
export interface KeyChange {
  readonly key: string;
  readonly before?: string;
  readonly after?: string;
}

export function keyChanges(
  before: ReadonlyMap<string, string>,
  after: ReadonlyMap<string, string>,
): readonly KeyChange[] {
  const keys = [...new Set([...before.keys(), ...after.keys()])].sort();
  return keys.flatMap((key) => {
    const [a, b] = [before.get(key), after.get(key)];
    return a === b ? [] : [{ key, ...(a !== undefined && { before: a }), ...(b !== undefined && { after: b }) }];
  });
}

/** `tolerance.rebound.relative 5 % -> 7 %` */
export function keyChangeText({ key, before, after }: KeyChange): string {
  return `${key} ${before ?? 'absent'} -> ${after ?? 'absent'}`;
}
