import { describe, expect, it } from 'vitest';
import { bytesOfBase64 } from '../../src/platform/web/base64';

/** Bytes that one slice of text makes. */
const SLICE = (256 * 1024 * 3) / 4;

describe('base64 in slices', () => {
  it.each([0, 1, 2, 3, 4, SLICE - 1, SLICE, SLICE + 1, SLICE + 2, 2 * SLICE, 2 * SLICE + 1])(
    'gives back %i bytes as Node.js encoded them',
    async (length) => {
      const bytes = Uint8Array.from({ length }, (_, i) => (i * 7919) % 256);
      const back = await bytesOfBase64(Buffer.from(bytes).toString('base64'));
      expect(Buffer.compare(Buffer.from(back), Buffer.from(bytes))).toBe(0);
    },
  );

  it('takes a text without padding, and refuses one that is none', async () => {
    expect(await bytesOfBase64('AQI')).toEqual(Uint8Array.of(1, 2));
    await expect(bytesOfBase64('not base64!')).rejects.toThrow();
  });

  it('gives the turn to others between the slices', async () => {
    let turns = 0;
    const counting = setInterval(() => (turns += 1), 0);
    await bytesOfBase64(Buffer.alloc(12 * SLICE).toString('base64'));
    clearInterval(counting);
    expect(turns).toBeGreaterThanOrEqual(6);
  });
});
