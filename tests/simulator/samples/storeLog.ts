import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { gunzipSync, gzipSync } from 'node:zlib';
import type { SampleLog } from './sampleLogs';

/** What stands in a committed log, unzipped where its name ends in `.gz`; undefined where there is none. */
export function storedText(root: string, path: string): string | undefined {
  const file = join(root, path);
  if (!existsSync(file)) return undefined;
  const bytes = readFileSync(file);
  return (path.endsWith('.gz') ? gunzipSync(bytes) : bytes).toString('utf8');
}

/**
 * Writes a log unless the same text already stands there: another version of the compressor gives other bytes for it, and the results
 * name their logs by the bytes.
 * @returns whether it was written
 */
export function storeLog(root: string, log: SampleLog): boolean {
  const text = log.text();
  if (storedText(root, log.path) === text) return false;
  const file = join(root, log.path);
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, log.path.endsWith('.gz') ? gzipSync(text, { level: 9 }) : text);
  return true;
}
