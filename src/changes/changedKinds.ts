import type { FileKind } from '../files/recognise';
import type { AbortSignalLike } from '../ports/abort';
import { FilePortError, type RepositoryFiles } from '../ports/repositoryFiles';
import { RevisionFault, type RevisionFiles, type Revisions } from '../ports/revisions';
import { CONFIG_PATH, kindsByConfig, MOST_CONFIG_BYTES, type FileKinds } from '../session/kindsByConfig';
import type { ShownFiles } from './shownFiles';

/** What each path is in the work tree, else at the base. */
export async function kindsOfEither(work: RepositoryFiles, base: RevisionFiles): Promise<FileKinds> {
  const { files: listed } = await work.list('');
  const isHere = listed.some(({ path }) => path === CONFIG_PATH);
  const now = kindsByConfig(isHere ? await bytesOf(work) : undefined);
  const then = kindsByConfig(base.blobs.has(CONFIG_PATH) ? await bytesOf(base) : undefined);
  const known = new Map<string, FileKind | 'other'>();
  return {
    kindOf: (path) => {
      let kind = known.get(path);
      if (kind === undefined) known.set(path, (kind = now.kindOf(path) ?? then.kindOf(path) ?? 'other'));
      return kind === 'other' ? undefined : kind;
    },
    isMapped: (path) => now.isMapped(path) || then.isMapped(path),
  };
}

/** Undefined where it cannot be read, which is told of the file itself. */
async function bytesOf(files: RepositoryFiles): Promise<Uint8Array | undefined> {
  try {
    return await files.read(CONFIG_PATH, MOST_CONFIG_BYTES);
  } catch (error) {
    if (error instanceof FilePortError) return undefined;
    throw error;
  }
}

/** Files of ours whose content differs, by path, with what they are. */
export async function changedKinds(
  { files, revisions }: { readonly files: ShownFiles; readonly revisions: Revisions },
  base: RevisionFiles,
  { kindOf }: FileKinds,
  signal: AbortSignalLike | undefined,
): Promise<ReadonlyMap<string, FileKind>> {
  const isOurs = (path: string): boolean => {
    const kind = kindOf(path);
    return kind !== undefined && kind !== 'dutyLog' && kind !== 'corner';
  };
  const paths = await revisions.changedPaths(base, files.work, isOurs, signal);
  return new Map(paths.map((path) => [path, kindOf(path)!]));
}

/** A verdict from half of the files would be another one. */
export async function refuseMissing(
  revisions: Revisions,
  base: RevisionFiles,
  kinds: ReadonlyMap<string, FileKind>,
): Promise<void> {
  const blobs = [...kinds.keys()].flatMap((path) => base.blobs.get(path) ?? []);
  const missing = await revisions.missing(blobs);
  const lacking = [...kinds.keys()].filter((path) => missing.has(base.blobs.get(path) ?? ''));
  if (lacking.length === 0) return;
  const named = `${lacking.slice(0, 6).join(', ')}${lacking.length > 6 ? ` and ${lacking.length - 6} more` : ''}`;
  throw new RevisionFault(
    `This clone was made without the contents of ${base.commit.slice(0, 12)} that the branch is held against: ${named}.`,
    `Nothing is fetched unasked: fetch them with "git diff --stat ${base.commit.slice(0, 12)}", or clone without --filter.`,
  );
}
