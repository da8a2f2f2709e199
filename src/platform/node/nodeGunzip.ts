import { pipeline, Readable } from 'node:stream';
import type * as Zlib from 'node:zlib';
import { firstBytes, withFirst } from '../../ports/byteStream';
import { GunzipError, type Gunzip } from '../../ports/services';
import { systemCode } from './fileErrors';

/** What an expanding log may grow to. A bench's log of plain numbers shrinks four- to twentyfold; a bomb a thousandfold. */
export interface GunzipLimits {
  readonly bytes: number;
  /** Of expanded to packed bytes, looked at once `ratioFrom` bytes are out. */
  readonly ratio: number;
  readonly ratioFrom: number;
}
/** The start of a log is a few kilobytes; more is no head, but a bomb. */
const MOST_OF_START = 256 * 1024;
/** What is this small, packed and expanded, is expanded at once: a stream for each of thousands of logs took longer than expanding them. */
const SMALL = { packed: 128 * 1024, expanded: 1024 * 1024 };
export const GUNZIP_LIMITS: GunzipLimits = { bytes: 8 * 1024 ** 3, ratio: 200, ratioFrom: 32 * 1024 ** 2 };

let zlib: Promise<typeof Zlib> | undefined;

/** Most runs expand nothing, and loading it takes a millisecond; of thousands of logs each would load it anew. */
function loadedZlib(): Promise<typeof Zlib> {
  return (zlib ??= import('node:zlib'));
}

/** Expands gzip as it comes, no more than a chunk of it held; what is small at once. @throws GunzipError from the iteration */
export function nodeGunzip(limits: GunzipLimits = GUNZIP_LIMITS): Gunzip {
  return {
    async *gunzip(chunks) {
      const iterator = chunks[Symbol.asyncIterator]();
      const first = await firstBytes(iterator, SMALL.packed);
      if (first.length === 0) throw new GunzipError('truncated', 'is empty, not even a gzip header');
      const { createGunzip, gunzipSync } = await loadedZlib();
      if (first.length < SMALL.packed) {
        const most = Math.min(SMALL.expanded, limits.bytes, limits.ratioFrom);
        const whole = expandedAtOnce(gunzipSync, first, most);
        if (whole !== undefined) {
          yield whole;
          return;
        }
      }
      let expanded = 0;
      const expander = createGunzip({ chunkSize: 256 * 1024 });
      // Errors of either end reach the loop below through the expander.
      pipeline(Readable.from(withFirst(first, iterator)), expander, () => undefined);
      try {
        for await (const chunk of expander as AsyncIterable<Uint8Array>) {
          expanded += chunk.length;
          if (expanded > limits.bytes) throw tooLarge(`more than ${limits.bytes} bytes`);
          if (expanded > limits.ratioFrom && expanded > limits.ratio * expander.bytesWritten)
            throw tooLarge(`more than ${limits.ratio} times its size`);
          yield chunk;
        }
      } catch (error) {
        throw asGunzipError(error);
      } finally {
        expander.destroy();
        await iterator.return?.();
      }
    },
    async starter() {
      const { constants, gunzipSync } = await loadedZlib();
      const options = { finishFlush: constants.Z_SYNC_FLUSH, maxOutputLength: MOST_OF_START };
      return (packed) => {
        try {
          return gunzipSync(packed, options);
        } catch {
          return undefined; // the reader of logs meets it again, and says what it is
        }
      };
    },
  };
}

/** Undefined where it is larger, or damaged: then as much as can be expanded comes before it is said. */
function expandedAtOnce(gunzipSync: typeof Zlib.gunzipSync, packed: Uint8Array, most: number): Uint8Array | undefined {
  try {
    return gunzipSync(packed, { maxOutputLength: most });
  } catch {
    return undefined;
  }
}

function tooLarge(how: string): GunzipError {
  return new GunzipError('too-large', `expands to ${how}, which no bench log does`);
}

function asGunzipError(error: unknown): unknown {
  switch (systemCode(error)) {
    case 'Z_BUF_ERROR':
      return new GunzipError('truncated', 'ends in the middle: the gzip data are cut off');
    case 'Z_DATA_ERROR':
      return new GunzipError('damaged', 'is damaged: the gzip data do not expand');
    default:
      return error;
  }
}
