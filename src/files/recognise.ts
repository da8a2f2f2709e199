import { matchesGlob } from './globs';
import { REVIEW_CONFIG_PATH } from './readReviewConfig';
import type { LogMapping, ReviewConfig } from './reviewConfig';

export type FileKind = 'config' | 'spec' | 'reference' | 'testLog' | 'result' | 'dutyLog' | 'corner' | 'csvw';

/** Endings in lower case; they count in any case, since some systems do not tell cases apart. None is the end of another; the usual ones first. */
const ENDINGS: readonly (readonly [string, FileKind])[] = [
  ['.result.csv', 'result'],
  ['.testlog.csv.gz', 'testLog'],
  ['.testlog.csv', 'testLog'],
  ['.testlog.tsv.gz', 'testLog'],
  ['.testlog.tsv', 'testLog'],
  ['.damper.yaml', 'spec'],
  ['.damper.yml', 'spec'],
  ['.refcurve.csv', 'reference'],
  ['.dutylog.csv', 'dutyLog'],
  ['.corner.yaml', 'corner'],
  ['.corner.yml', 'corner'],
  ['.csv-metadata.json', 'csvw'],
  ['.tsv-metadata.json', 'csvw'],
  ['.csv.gz-metadata.json', 'csvw'],
  ['.tsv.gz-metadata.json', 'csvw'],
];

/** Words for a kind in messages, with its article. */
export const KIND_WORDS: Readonly<Record<FileKind, string>> = {
  config: "the repository's damper-review.yaml",
  spec: 'a spec',
  reference: 'reference curves',
  testLog: 'a test log',
  result: 'a result',
  dutyLog: 'a duty log',
  corner: "a car's corner",
  csvw: 'metadata of a CSV file',
};

/**
 * What a file is by its path: its name, its ending, or a mapping of the configuration. Endings go before mappings, so that
 * a mapping of every CSV file does not claim results.
 *
 * @returns undefined for files that are none of ours
 */
export function recogniseFile(path: string, config: Pick<ReviewConfig, 'logs'>): FileKind | undefined {
  const lower = path.toLowerCase();
  if (path === REVIEW_CONFIG_PATH) return 'config';
  for (const [ending, kind] of ENDINGS) if (lower.endsWith(ending)) return kind;
  return mappingsOf(path, config).length > 0 ? 'testLog' : undefined;
}

/** Every mapping that claims a log. More than one makes the log ambiguous (`id-ambiguous`). */
export function mappingsOf(path: string, config: Pick<ReviewConfig, 'logs'>): readonly LogMapping[] {
  return config.logs.filter((mapping) => matchesGlob(mapping.files, path));
}

/** Path of the log that a `LOG-metadata.json` stands beside. */
export function logOfMetadata(path: string): string {
  return path.replace(/-metadata\.json$/i, '');
}

/** Where the result of a log is written: beside it, `x.testlog.csv.gz` and `x.csv` both as `x.result.csv`. */
export function resultPathOf(logPath: string): string {
  return `${logPath.replace(/(?:\.testlog)?\.(?:csv|tsv|txt)(?:\.gz)?$/i, '')}.result.csv`;
}
