import type { FileKind } from '../files/recognise';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../ports/repositoryFiles';
import type { RevisionFiles } from '../ports/revisions';
import { NO_TIES, tiesOfBytes, tiesOfLog, type FileTies } from '../session/fileTies';
import { CONFIG_PATH, type FileKinds } from '../session/kindsByConfig';
import { tiesByStart } from '../session/tiesByStart';
import type { ReviewSession, RunOptions } from '../session/reviewSession';
import type { ShownFiles } from './shownFiles';
import { tiedFiles, type TiedFile } from './tiedFiles';

export interface ConnectedWork {
  readonly session: ReviewSession;
  readonly files: ShownFiles;
  readonly base: RevisionFiles;
  /** Paths that differ between base and head, with what they are. */
  readonly changed: ReadonlyMap<string, FileKind>;
  readonly fileKinds: FileKinds;
  readonly options: RunOptions;
}

/** No log is read whole for this, but a pointer in its place. */
const MOST_BYTES: Readonly<Partial<Record<FileKind, number>>> = { testLog: 1024 };

/**
 * Files of the work tree that judging may tie to what differs, in either state (`tiedFiles`). Nothing that is said of a branch rests on any
 * other file, so that the session need not be shown the rest: of 2,000 results a branch concerned 200, and the whole review took half the time.
 *
 * @returns undefined where anything may be concerned: the configuration says how every file is read
 */
export async function connectedFiles(work: ConnectedWork): Promise<ReadonlySet<string> | undefined> {
  const { files, changed } = work;
  for (const [path, kind] of changed) if (path === CONFIG_PATH || kind === 'csvw') return undefined;
  const { files: listed } = await files.work.list('', work.options.signal);
  const tied: TiedFile[] = [];
  const join: Join = (path, ties) => tied.push({ path, ties });
  await joinHead(work, listed, join);
  await joinBase(work, join);
  const reached = tiedFiles(tied, new Set(changed.keys()));
  const kept = listed.filter(({ path }) => path === CONFIG_PATH || reached.has(path));
  return new Set(kept.map(({ path }) => path));
}

type Join = (path: string, ties: FileTies) => void;

async function joinHead(work: ConnectedWork, listed: readonly FileEntry[], join: Join): Promise<void> {
  const logs: string[] = [];
  const files = work.files.work;
  const { kindOf } = work.fileKinds;
  const ofStart = await tiesByStart({ files, listed, isMapped: work.fileKinds.isMapped, gunzip: work.session.gunzip });
  for (const entry of listed) {
    const { path, size } = entry;
    const kind = kindOf(path);
    if (kind === undefined) continue;
    // Nearly every file is at hand: to resolve and to wait for each of 4,000 took twice as long as to read them.
    const ties =
      size > (MOST_BYTES[kind] ?? Infinity)
        ? ofStart(entry)
        : (tiesNow(files, entry, kind) ?? (await tiesIn(files, path, kind)));
    if (ties === undefined) logs.push(path);
    else join(path, ties);
  }
  await joinLogs(work, logs, join);
}

/** What a changed file was tied to before. */
async function joinBase(work: ConnectedWork, join: Join): Promise<void> {
  const { base, changed, files, session } = work;
  const logs: string[] = [];
  for (const [path, kind] of changed) {
    const ties = base.blobs.has(path) ? await tiesIn(base, path, kind) : NO_TIES;
    if (ties === undefined) logs.push(path);
    else join(path, ties);
  }
  if (logs.length === 0) return;
  session.invalidate(files.show(new Map(logs.map((path) => [path, base]))));
  await joinLogs(work, logs, join);
  session.invalidate(files.show(new Map()));
}

async function joinLogs({ session, options }: ConnectedWork, logs: readonly string[], join: Join): Promise<void> {
  if (logs.length === 0) return;
  await session.run(async (run) => {
    for (const path of logs) join(path, await tiesOfLog(run, path));
  }, options);
}

/** Undefined also where the file is not at hand. */
function tiesNow(files: RepositoryFiles, entry: FileEntry, kind: FileKind): FileTies | undefined {
  const bytes = files.readNow?.(entry);
  return bytes === undefined ? undefined : tiesOfBytes(entry.path, kind, bytes);
}

/** Undefined for a log that has to be read for it. A file that cannot be read ties nothing. */
async function tiesIn(files: RepositoryFiles, path: string, kind: FileKind): Promise<FileTies | undefined> {
  try {
    return tiesOfBytes(path, kind, await files.read(path, MOST_BYTES[kind]));
  } catch (error) {
    if (!(error instanceof FilePortError)) throw error;
    return kind === 'testLog' ? undefined : NO_TIES;
  }
}
