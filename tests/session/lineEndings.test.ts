import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { digestOfSource, withoutCrLf } from '../../src/session/lineEndings';

async function* pieces(text: string, size: number): AsyncIterable<Uint8Array> {
  const bytes = new TextEncoder().encode(text);
  for (let at = 0; at < bytes.length; at += size) yield await Promise.resolve(bytes.subarray(at, at + size));
}
const sha = (text: string): string => createHash('sha256').update(text).digest('hex');

describe('digests that a checkout does not change', () => {
  it.each(['a\r\nb\r\n', 'a\nb\n', '\r\n', '\r', 'a\r\rb', 'a\r\r\nb', 'x\r', '', 'no end\r\n\r\n'])(
    'takes %j with LF, whatever the chunks',
    async (text) => {
      const expected = sha(text.replaceAll('\r\n', '\n'));
      for (const size of [1, 2, 3, 100])
        expect(await digestOfSource(nodeDigest, 'a.testlog.csv', pieces(text, size))).toBe(expected);
      expect(new TextDecoder().decode(withoutCrLf(new TextEncoder().encode(text)))).toBe(text.replaceAll('\r\n', '\n'));
    },
  );

  it('takes .gz as it is', async () => {
    expect(await digestOfSource(nodeDigest, 'a.testlog.csv.gz', pieces('a\r\nb', 2))).toBe(sha('a\r\nb'));
  });
});
