/** As many bytes as come until there are `least`; fewer only where there are no more. */
export async function firstBytes(iterator: AsyncIterator<Uint8Array>, least: number): Promise<Uint8Array> {
  let bytes: Uint8Array = new Uint8Array(0);
  while (bytes.length < least) {
    const next = await iterator.next();
    if (next.done === true) break;
    if (bytes.length === 0) {
      bytes = next.value;
      continue;
    }
    const longer = new Uint8Array(bytes.length + next.value.length);
    longer.set(bytes);
    longer.set(next.value, bytes.length);
    bytes = longer;
  }
  return bytes;
}

/** Bytes that were taken already, then the rest. Whoever stops early ends the iterator himself. */
export async function* withFirst(first: Uint8Array, iterator: AsyncIterator<Uint8Array>): AsyncIterable<Uint8Array> {
  if (first.length > 0) yield first;
  for (let next = await iterator.next(); next.done !== true; next = await iterator.next()) yield next.value;
}
