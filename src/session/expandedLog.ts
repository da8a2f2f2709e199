import { AbortedError, type AbortSignalLike } from '../ports/abort';
import { firstBytes, withFirst } from '../ports/byteStream';
import type { RepositoryFiles } from '../ports/repositoryFiles';
import type { Gunzip } from '../ports/services';

/** `version http`: what stands in place of a large file that was not fetched, whatever its name ends with. */
const POINTER_START = [0x76, 0x65, 0x72, 0x73, 0x69, 0x6f, 0x6e, 0x20, 0x68, 0x74, 0x74, 0x70];

/** Whether a log is packed, by its name. */
export function isPacked(file: string): boolean {
  return /\.gz$/iu.test(file);
}

/**
 * The bytes of a log, expanded where its name ends with `.gz`. A large-file pointer under such a name comes as it is, so
 * that it is recognised for what it is.
 * @param onBytes sees every expanded chunk
 * @param onError sees what is thrown, before the reader wraps it in words
 */
export async function* expandedLog(
  ports: { readonly files: Pick<RepositoryFiles, 'open'>; readonly gunzip: Gunzip },
  file: string,
  signal: AbortSignalLike | undefined,
  onBytes: (chunk: Uint8Array) => void,
  onError: (error: unknown) => void,
): AsyncIterable<Uint8Array> {
  try {
    const chunks = ports.files.open(file, signal);
    for await (const chunk of isPacked(file) ? expanded(ports.gunzip, chunks) : chunks) {
      onBytes(chunk);
      yield chunk;
    }
  } catch (error) {
    if (!(error instanceof AbortedError)) onError(error);
    throw error;
  }
}

async function* expanded(gunzip: Gunzip, chunks: AsyncIterable<Uint8Array>): AsyncIterable<Uint8Array> {
  const iterator = chunks[Symbol.asyncIterator]();
  try {
    const first = await firstBytes(iterator, POINTER_START.length);
    if (!startsWith(first, POINTER_START)) {
      yield* gunzip.gunzip(withFirst(first, iterator));
      return;
    }
    yield first;
    for (let next = await iterator.next(); next.done !== true; next = await iterator.next()) yield next.value;
  } finally {
    await iterator.return?.();
  }
}

function startsWith(bytes: Uint8Array, start: readonly number[]): boolean {
  for (let at = 0; at < start.length; at++) if (bytes[at] !== start[at]) return false;
  return true;
}
