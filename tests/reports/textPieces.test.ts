import { describe, expect, it } from 'vitest';
import { TextPieces } from '../../src/reports/textPieces';
import { createRandom } from '../simulator/random';

describe('text put together of pieces', () => {
  it('is that of the pieces in their order, whether they are text or bytes', () => {
    const random = createRandom(5);
    const blocks = ['± one block of bytes, ', 'another.\n'].map((text) => new TextEncoder().encode(text));
    for (let round = 0; round < 50; round++) {
      const pieces = new TextPieces();
      let expected = '';
      for (let i = 0; i < 20; i++) {
        const bytes = blocks[Math.floor(random.uniform(0, 3))];
        if (bytes === undefined) {
          expected += '–';
          pieces.add('–');
          continue;
        }
        const cut = Math.floor(random.uniform(2, bytes.length));
        for (const [from, end] of [
          [2, cut],
          [cut, bytes.length],
          [0, 0],
        ] as const) {
          pieces.add({ bytes, from, end });
          expected += new TextDecoder().decode(bytes.subarray(from, end));
        }
      }
      expect(new TextDecoder().decode(pieces.join())).toBe(expected);
    }
  });
});
