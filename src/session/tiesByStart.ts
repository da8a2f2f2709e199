import { logOfMetadata } from '../files/recognise';
import type { FileEntry, RepositoryFiles } from '../ports/repositoryFiles';
import type { Gunzip } from '../ports/services';
import { isPacked } from './expandedLog';
import { tiesOfLogStart, type FileTies } from './fileTies';
import type { FileKinds } from './kindsByConfig';
import { LogStarts } from './logStarts';

/** Of a packed log: its preamble as this program writes it, twice over. */
const START_BYTES = 1024;

export interface ListedLogs extends Pick<FileKinds, 'isMapped'> {
  readonly files: RepositoryFiles;
  /** All files, logs or not. */
  readonly listed: readonly FileEntry[];
  readonly gunzip: Gunzip;
}

/** Tells ties of a log by its start alone; undefined for one that has to be opened for them, which takes ten times as long. */
export async function tiesByStart({
  files,
  listed,
  isMapped,
  gunzip,
}: ListedLogs): Promise<(log: FileEntry) => FileTies | undefined> {
  const described = new Set(
    listed.flatMap(({ path }) => (path.endsWith('-metadata.json') ? [logOfMetadata(path)] : [])),
  );
  // To load what expands them takes some milliseconds, and pointers of logs are packed in name only.
  const anyPacked = listed.some(({ path, size }) => size > START_BYTES && isPacked(path));
  const starts = new LogStarts(gunzip);
  if (anyPacked) await starts.load();
  return (log) => {
    const { path } = log;
    if (isMapped(path) || described.has(path)) return undefined; // more may be stated of it than it states itself
    const start = starts.expanded(path, files.startNow?.(log, START_BYTES));
    return start && tiesOfLogStart(start);
  };
}
