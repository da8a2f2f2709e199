/** Makes a schema when it is first asked for, as most runs need few of them and making one takes a third of a millisecond and more. */
export function madeOnce<Schema extends object>(make: () => Schema): () => Schema {
  let made: Schema | undefined;
  return () => (made ??= make());
}
