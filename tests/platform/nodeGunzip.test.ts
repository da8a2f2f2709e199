import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { GunzipError } from '../../src/ports/services';
import { nodeGunzip, type GunzipLimits } from '../../src/platform/node/nodeGunzip';
import { collect } from './temporaryFolder';

async function* inPieces(bytes: Uint8Array, size: number): AsyncIterable<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield await Promise.resolve(bytes.subarray(at, at + size));
}
const plain = Buffer.from(Array.from({ length: 6000 }, (_, i) => `${i},${Math.sin(i)}`).join('\n'));
async function failure(work: Promise<unknown>): Promise<string> {
  try {
    await work;
    return 'no error';
  } catch (error) {
    return error instanceof GunzipError ? error.code : String(error);
  }
}

describe('expanding gzip', () => {
  it('gives the bytes back, whatever the pieces, also of several members', async () => {
    const packed = gzipSync(plain);
    for (const size of [1, 7, 1000, 1e6])
      expect(Buffer.compare(await collect(nodeGunzip().gunzip(inPieces(packed, size))), plain)).toBe(0);
    const twice = Buffer.concat([packed, packed]);
    expect((await collect(nodeGunzip().gunzip(inPieces(twice, 1000)))).length).toBe(2 * plain.length);
    expect((await collect(nodeGunzip().gunzip(inPieces(gzipSync(''), 9)))).length).toBe(0);
  });

  it('gives at once what stands in the first bytes, and nothing where they do not expand or expand to more than a start', async () => {
    const start = await nodeGunzip().starter!();
    const packed = gzipSync(plain);
    for (const length of [1024, packed.length - 1, packed.length]) {
      const text = start(packed.subarray(0, length))!;
      expect(text.length).toBeGreaterThan(length);
      expect(Buffer.compare(text, plain.subarray(0, text.length))).toBe(0);
    }
    expect(start(packed)!.length).toBe(plain.length);
    expect(start(plain.subarray(0, 100))).toBeUndefined();
    expect(start(Buffer.concat([packed.subarray(0, 200), Buffer.alloc(100, 255)]))).toBeUndefined();
    expect(start(gzipSync(Buffer.alloc(1 << 22)).subarray(0, 1024))).toBeUndefined();
  });

  it('lets go of its source when nobody wants more, and passes on what the source throws', async () => {
    const packed = gzipSync(Buffer.from(Array.from({ length: 200_000 }, (_, i) => Math.sin(i)).join('\n')));
    expect(packed.length).toBeGreaterThan(1_000_000);
    const closed = new Promise<void>((resolve) => {
      async function* watched(): AsyncIterable<Uint8Array> {
        try {
          yield* inPieces(packed, 10_000);
        } finally {
          resolve();
        }
      }
      void (async () => {
        for await (const chunk of nodeGunzip().gunzip(watched())) if (chunk.length > 0) break;
      })();
    });
    await closed;
    for (const before of [100, 500_000]) {
      const failing = async function* (): AsyncIterable<Uint8Array> {
        yield* inPieces(packed.subarray(0, before), 10_000);
        throw new Error('the disk is gone');
      };
      expect(await failure(collect(nodeGunzip().gunzip(failing())))).toContain('the disk is gone');
    }
  });

  it('calls every cut a truncation', async () => {
    const packed = gzipSync(plain);
    for (const length of [0, 1, 5, 10, 11, 100, packed.length >> 1, packed.length - 8, packed.length - 1]) {
      expect([length, await failure(collect(nodeGunzip().gunzip(inPieces(packed.subarray(0, length), 1000))))]).toEqual(
        [length, 'truncated'],
      );
    }
  });

  it('calls a changed byte damage', async () => {
    const packed = gzipSync(plain);
    for (const at of [0, 1, packed.length >> 1, packed.length - 6, packed.length - 2]) {
      const damaged = Uint8Array.from(packed);
      damaged[at]! ^= 0x55;
      expect([at, await failure(collect(nodeGunzip().gunzip(inPieces(damaged, 1000))))]).toEqual([at, 'damaged']);
    }
    expect(await failure(collect(nodeGunzip().gunzip(inPieces(plain, 1000))))).toBe('damaged');
  });

  it('stops a bomb soon after its limit, by ratio and by size', async () => {
    const bomb = gzipSync(new Uint8Array(64 * 1024 * 1024));
    const taken = async (limits: GunzipLimits): Promise<[number, string]> => {
      let bytes = 0;
      const reading = async (): Promise<void> => {
        for await (const chunk of nodeGunzip(limits).gunzip(inPieces(bomb, 4096))) bytes += chunk.length;
      };
      const code = await failure(reading());
      return [bytes, code];
    };
    const [byRatio, first] = await taken({ bytes: 1e12, ratio: 200, ratioFrom: 1024 * 1024 });
    expect(first).toBe('too-large');
    expect(byRatio).toBeLessThan(2 * 1024 * 1024);
    const [bySize, second] = await taken({ bytes: 3_000_000, ratio: 1e9, ratioFrom: 0 });
    expect(second).toBe('too-large');
    expect(bySize).toBeLessThanOrEqual(3_000_000);
    expect(await failure(collect(nodeGunzip().gunzip(inPieces(bomb, 4096))))).toBe('too-large'); // the limits of the product
  });

  it('passes on the error of what it reads', async () => {
    async function* failing(): AsyncIterable<Uint8Array> {
      yield await Promise.resolve(gzipSync(plain).subarray(0, 100));
      throw new Error('the disk went away');
    }
    await expect(collect(nodeGunzip().gunzip(failing()))).rejects.toThrow('the disk went away');
  });

  it('closes its source when the reader stops early', async () => {
    let closed = false;
    async function* watched(): AsyncIterable<Uint8Array> {
      try {
        yield* inPieces(gzipSync(Buffer.concat(Array.from({ length: 5 }, () => plain))), 1000);
      } finally {
        closed = true;
      }
    }
    for await (const chunk of nodeGunzip().gunzip(watched())) if (chunk.length > 0) break;
    await new Promise((resolve) => setImmediate(resolve));
    expect(closed).toBe(true);
  });
});
