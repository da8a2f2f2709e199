const OFFSET = 0xcbf29ce484222325n;
const PRIME = 0x100000001b3n;
const MASK = (1n << 64n) - 1n;

/**
 * A short name for a text, the same on every machine: FNV-1a of its UTF-8 bytes, 64 bits, 16 hexadecimal digits (IETF draft-eastlake-fnv).
 * It tells findings apart and protects nothing.
 */
export function fingerprint(text: string): string {
  let hash = OFFSET;
  for (const byte of new TextEncoder().encode(text)) hash = ((hash ^ BigInt(byte)) * PRIME) & MASK;
  return hash.toString(16).padStart(16, '0');
}
