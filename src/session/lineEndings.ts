import type { Digest } from '../ports/services';

const CR = 13;
const LF = 10;

/** The bytes with every CRLF as LF, so that a checkout's line endings change no digest. */
export function withoutCrLf(bytes: Uint8Array): Uint8Array {
  if (!bytes.includes(CR)) return bytes;
  const kept = new Uint8Array(bytes.length);
  let length = 0;
  for (let at = 0; at < bytes.length; at++) {
    if (bytes[at] === CR && bytes[at + 1] === LF) continue;
    kept[length] = bytes[at]!;
    length += 1;
  }
  return kept.subarray(0, length);
}

/** Digest of a text file that comes in chunks, with every CRLF taken as LF, also where a chunk's border parts the two. */
export async function digestOfText(digest: Digest, chunks: AsyncIterable<Uint8Array>): Promise<string> {
  const hash = digest.begin();
  let heldCr = false;
  for await (const chunk of chunks) {
    if (chunk.length === 0) continue;
    if (heldCr && chunk[0] !== LF) hash.update(Uint8Array.of(CR));
    heldCr = chunk[chunk.length - 1] === CR;
    hash.update(withoutCrLf(heldCr ? chunk.subarray(0, -1) : chunk));
  }
  if (heldCr) hash.update(Uint8Array.of(CR));
  return hash.hex();
}

export async function digestOfBytes(digest: Digest, chunks: AsyncIterable<Uint8Array>): Promise<string> {
  const hash = digest.begin();
  for await (const chunk of chunks) hash.update(chunk);
  return hash.hex();
}

/** Digest as it stands in a result's `source`: text with LF line endings, `.gz` over its bytes. */
export function digestOfSource(digest: Digest, path: string, chunks: AsyncIterable<Uint8Array>): Promise<string> {
  return path.endsWith('.gz') ? digestOfBytes(digest, chunks) : digestOfText(digest, chunks);
}
