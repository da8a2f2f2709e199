import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { portableDigest } from '../../src/platform/memory/sha256';
import { nodeDigest } from '../../src/platform/node/nodeDigest';

const text = (value: string): Uint8Array => new TextEncoder().encode(value);

describe.each([
  ['portable', portableDigest],
  ['node', nodeDigest],
])('SHA-256, %s', (_, digest) => {
  // FIPS 180-2, appendix B.1 to B.3: the three worked examples of the standard.
  it('gives the digests of the standard', async () => {
    expect(await digest.sha256(text('abc'))).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
    expect(await digest.sha256(text('abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq'))).toBe(
      '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
    );
    expect(await digest.sha256(text('a'.repeat(1_000_000)))).toBe(
      'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0',
    );
  });

  it('agrees with the platform at every length around a block, whole and in pieces', async () => {
    for (let length = 0; length < 200; length++) {
      const bytes = Uint8Array.from({ length }, (__, i) => (i * 37 + length) & 255);
      const expected = createHash('sha256').update(bytes).digest('hex');
      expect(await digest.sha256(bytes)).toBe(expected);
      const pieces = digest.begin();
      for (let at = 0; at < length; at += 7) pieces.update(bytes.subarray(at, at + 7));
      expect(await pieces.hex()).toBe(expected);
    }
  });
});
