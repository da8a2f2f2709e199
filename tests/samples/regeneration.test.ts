import { readdirSync, statSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { describe, expect, it } from 'vitest';
import { sampleLogs } from '../simulator/samples/sampleLogs';
import { storedText } from '../simulator/samples/storeLog';

const root = join(import.meta.dirname, '../../samples');
const logs = sampleLogs();

function filesBelow(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(root, join(entry.parentPath, entry.name)).split(sep).join('/'));
}

describe('raw logs of the samples', () => {
  it.each(logs.map((log) => [log.path, log] as const))('%s is what its seed gives', (path, log) => {
    // Compared as text and by line, so that a failure shows the first line that differs and not a megabyte.
    const stored = storedText(root, path)?.replaceAll('\r\n', '\n').split('\n') ?? [];
    const made = log.text().split('\n');
    const at = made.findIndex((line, index) => line !== stored[index]);
    expect({ lines: stored.length, first: at < 0 ? 'none differs' : `${at + 1}: ${stored[at] ?? 'absent'}` }).toEqual({
      lines: made.length,
      first: 'none differs',
    });
  });

  it('are all the logs there are, and all of samples/ is under 12 MB', () => {
    const files = filesBelow(root);
    const rawLogs = files.filter((file) => /\.testlog\.csv(\.gz)?$|^incoming\//.test(file) && !file.endsWith('.result.csv'));
    expect(rawLogs.sort()).toEqual(logs.map((log) => log.path).sort());
    const bytes = files.reduce((sum, file) => sum + statSync(join(root, file)).size, 0);
    expect(bytes).toBeLessThan(12_000_000);
  });
});
