import { createHash } from 'node:crypto';
import type { AbortSignalLike } from '../../ports/abort';
import type { FileEntry, RepositoryFiles } from '../../ports/repositoryFiles';

const CR = 13;
const LF = 10;
const POINTER = /^version https:\/\/git-lfs\.github\.com\/spec\/v1\noid sha256:([0-9a-f]{64})\nsize \d+\n?$/u;
export const MOST_POINTER_BYTES = 200;

/**
 * Whether a file of the work tree holds what git keeps under `id`: as it stands, with a checkout's CRLF taken as LF, or as the large file
 * that the kept pointer stands for. Told from the content alone: git is not asked to run a filter for it.
 *
 * @param readKept content of the object, asked for only where it may be a pointer
 */
export async function holdsObject(
  work: RepositoryFiles,
  file: FileEntry,
  id: string,
  readKept: () => Promise<Uint8Array | undefined>,
  signal?: AbortSignalLike,
): Promise<boolean> {
  const first = await digests(work, file, id, signal);
  if (first.id === id) return true;
  if (first.lineEnds > 0 && (await idWithoutCr(work, file, id, first.size - first.lineEnds, signal)) === id)
    return true;
  if (first.size <= MOST_POINTER_BYTES) return false; // a pointer stands for something larger than itself
  const kept = await readKept();
  if (kept === undefined) return false;
  return POINTER.exec(new TextDecoder().decode(kept))?.[1] === first.sha256;
}

interface Digests {
  readonly id: string;
  readonly sha256: string;
  readonly size: number;
  /** Count of CRLF. */
  readonly lineEnds: number;
}

async function digests(
  work: RepositoryFiles,
  file: FileEntry,
  id: string,
  signal: AbortSignalLike | undefined,
): Promise<Digests> {
  const object = objectHash(id, file.size);
  const sha256 = createHash('sha256');
  let size = 0;
  let lineEnds = 0;
  let before = 0;
  for await (const chunk of work.open(file.path, signal)) {
    object.update(chunk);
    sha256.update(chunk);
    size += chunk.length;
    for (let at = chunk.indexOf(LF); at >= 0; at = chunk.indexOf(LF, at + 1))
      if ((at > 0 ? chunk[at - 1] : before) === CR) lineEnds += 1;
    before = chunk.at(-1) ?? before;
  }
  return { id: object.digest('hex'), sha256: sha256.digest('hex'), size, lineEnds };
}

async function idWithoutCr(
  work: RepositoryFiles,
  file: FileEntry,
  id: string,
  size: number,
  signal: AbortSignalLike | undefined,
): Promise<string> {
  const object = objectHash(id, size);
  let heldCr = false;
  for await (const chunk of work.open(file.path, signal)) {
    if (chunk.length === 0) continue;
    if (heldCr && chunk[0] !== LF) object.update(Uint8Array.of(CR));
    heldCr = chunk.at(-1) === CR;
    let from = 0;
    const end = heldCr ? chunk.length - 1 : chunk.length;
    for (let at = chunk.indexOf(CR); at >= 0 && at + 1 < chunk.length; at = chunk.indexOf(CR, at + 1)) {
      if (chunk[at + 1] !== LF) continue;
      object.update(chunk.subarray(from, at));
      from = at + 1;
    }
    object.update(chunk.subarray(from, end));
  }
  if (heldCr) object.update(Uint8Array.of(CR));
  return object.digest('hex');
}

/** Git's name of a content; the length of a name tells which hash the repository uses. */
function objectHash(id: string, size: number) {
  return createHash(id.length === 64 ? 'sha256' : 'sha1').update(`blob ${size}\0`);
}
