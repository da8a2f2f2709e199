import { read as readPart, readSync } from 'node:fs';
import { promisify } from 'node:util';
import { asFilePortError } from './fileErrors';

/* Bytes of a file that is open. */

/** All bytes; one more than `limit` at most, where the file grew. */
export function readWhole(handle: number, size: number, limit: number): Uint8Array {
  let content = new Uint8Array(size + 1);
  let length = 0;
  while (length <= limit) {
    if (length === content.length) content = longer(content);
    const read = readSync(handle, content, length, content.length - length, null);
    length += read;
    if (read === 0 || length === size) break; // at `size`, one byte more was asked for, and none came
  }
  return content.subarray(0, length);
}

function longer(bytes: Uint8Array): Uint8Array<ArrayBuffer> {
  const twice = new Uint8Array(2 * bytes.length);
  twice.set(bytes);
  return twice;
}

const readLater = promisify(readPart);

export function readChunk(handle: number, path: string, length: number): Uint8Array {
  const buffer = new Uint8Array(length);
  try {
    return buffer.subarray(0, readSync(handle, buffer, 0, length, null));
  } catch (error) {
    throw asFilePortError(path, error);
  }
}

export async function readChunkLater(handle: number, path: string, length: number): Promise<Uint8Array> {
  const buffer = new Uint8Array(length);
  try {
    return buffer.subarray(0, (await readLater(handle, buffer, 0, length, null)).bytesRead);
  } catch (error) {
    throw asFilePortError(path, error);
  }
}
