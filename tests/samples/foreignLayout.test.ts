import { createReadStream, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openTestLog } from '../../src/files/log/openTestLog';
import { readReviewConfig } from '../../src/files/readReviewConfig';
import { sampleLogs } from '../simulator/samples/sampleLogs';

const root = join(import.meta.dirname, '../../samples');

describe('the log of the other bench', () => {
  const path = 'incoming/R-002/2/C-R-5-5.csv';

  it('is read through the mapping: signs, decimal commas and kilonewtons become SI, path and mapping say what it is', async () => {
    const { config, problems } = readReviewConfig('damper-review.yaml', readFileSync(join(root, 'damper-review.yaml')));
    expect(problems).toEqual([]);
    const mapping = config.logs[0];
    const log = await openTestLog({ file: path, open: () => createReadStream(join(root, path)), mapping });
    expect(log.warnings).toEqual([]);
    const { serial, build, spec, bench, setting, basis } = log.head;
    expect({ serial, build, spec, bench, setting }).toEqual({
      serial: 'R-002',
      build: '2',
      spec: 'larch-rear',
      bench: 'bench-2',
      setting: { C: 5, R: 5 },
    });
    expect(basis).toMatchObject({ drive: 'sine', stroke: 0.04, forceZero: 'unloaded', temperatureAt: 'body' });

    const written = sampleLogs().find((sample) => sample.path === path)!.text();
    const lines = written.trimEnd().split('\n').slice(4);
    const expected = lines.map((line) => line.replaceAll(',', '.').split(';').map(Number));
    const read: number[][] = [];
    for await (const chunk of log.chunks()) {
      for (let row = 0; row < chunk.rows; row++) {
        read.push([
          chunk.time[row]!,
          -1000 * chunk.displacement[row]!,
          -chunk.force[row]! / 1000,
          chunk.temperature![row]! - 273.15,
        ]);
      }
    }
    expect(read).toHaveLength(expected.length);
    const worst = read.reduce(
      (most, row, index) => Math.max(most, ...row.map((value, column) => Math.abs(value - expected[index]![column]!))),
      0,
    );
    expect(worst).toBeLessThan(1e-9);
  });
});
