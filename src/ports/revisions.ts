import type { AbortSignalLike } from './abort';
import type { RepositoryFiles } from './repositoryFiles';

/** What was asked of the history cannot be told from this clone, or names nothing. For the user, with what to do instead. */
export class RevisionFault extends Error {
  override readonly name = 'RevisionFault';
  constructor(
    message: string,
    readonly remedy: string,
  ) {
    super(message);
  }
}

/** The commit that a branch is held against, and in words how it was found. */
export interface RevisionBase {
  readonly commit: string;
  /** `the merge base with origin/main` */
  readonly words: string;
}

/** The files of one commit. Nothing of the repository's configuration touches their bytes. */
export interface RevisionFiles extends RepositoryFiles {
  readonly commit: string;
  /** Object id of every file, by repository path. */
  readonly blobs: BlobIds;
}

/** A map from paths to object ids, as far as it is asked. */
export interface BlobIds {
  has(path: string): boolean;
  get(path: string): string | undefined;
  keys(): Iterable<string>;
  /** Those of some ids that any file has. */
  among(ids: Iterable<string>): ReadonlySet<string>;
}

/** A state of one file in the history. */
export interface FileVersion {
  readonly path: string;
  /** Object id of its content. */
  readonly blob: string;
  /** The commit that left it so, or that took it away. */
  readonly commit: string;
  /** Of that commit, seconds since 1970. */
  readonly time: number;
}

/** The history of the repository: read only, from what the clone holds, never from a network. Paths are those of `RepositoryFiles`. */
export interface Revisions {
  /** The commit that a revision names. @throws RevisionFault */
  resolve(revision: string): Promise<string>;
  /** The checked-out commit; undefined before the first one. */
  head(): Promise<string | undefined>;
  /** The merge base of HEAD and `revision`. @throws RevisionFault where there is none in this clone */
  leftFrom(revision: string): Promise<RevisionBase>;
  /** The merge base with the branch that this one will go into, as far as the clone tells. @throws RevisionFault */
  defaultBase(): Promise<RevisionBase>;
  /** @throws RevisionFault where the clone lacks the tree */
  filesAt(commit: string): Promise<RevisionFiles>;
  /** Those of some object ids that this clone was made without. */
  missing(blobs: readonly string[]): Promise<ReadonlySet<string>>;
  /**
   * Paths, among those that `concerns` picks, whose content in `work` differs from the commit's, whatever the checkout did to line endings.
   * What a sparse checkout leaves out is not taken for removed.
   */
  changedPaths(
    at: RevisionFiles,
    work: RepositoryFiles,
    concerns: (path: string) => boolean,
    signal?: AbortSignalLike,
  ): Promise<readonly string[]>;
  /** Files of a commit that a sparse checkout leaves out of `work`. */
  leftOut(at: RevisionFiles, work: RepositoryFiles): Promise<readonly string[]>;
  /** Contents that commits after `base`, up to HEAD, replaced or took away: newest commit first. */
  replacedSince(base: string): Promise<readonly FileVersion[]>;
  /**
   * How some files came to be what they are at `commit`: by path their versions along the first parents, newest first, with the commit that
   * brought each, `most` of them at most.
   */
  versionsOf(
    paths: readonly string[],
    commit: string,
    most: number,
  ): Promise<ReadonlyMap<string, readonly FileVersion[]>>;
  /** @throws FilePortError where the clone lacks it */
  readBlob(version: Pick<FileVersion, 'path' | 'blob'>, limit?: number): Promise<Uint8Array>;
  /** True where the clone holds the latest part of the history only. */
  readonly shallow: boolean;
  /** Ends the helper processes. */
  close(): Promise<void>;
}
