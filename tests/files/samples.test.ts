import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { kindDiffers } from '../../src/files/contentKind';
import { readForceTable } from '../../src/files/readForceTable';
import { readReviewConfig } from '../../src/files/readReviewConfig';
import { readSpec } from '../../src/files/readSpec';
import { recogniseFile } from '../../src/files/recognise';
import { writeForceTable } from '../../src/files/writeForceTable';
import { told } from './support';

const ROOT = join(import.meta.dirname, '../../samples');
const bytesAt = (path: string) => new Uint8Array(readFileSync(join(ROOT, path)));
const { config, problems: configProblems } = readReviewConfig('damper-review.yaml', bytesAt('damper-review.yaml'));
const paths = readdirSync(ROOT, { recursive: true, encoding: 'utf-8' })
  .map((path) => path.replace(/\\/g, '/'))
  .sort();
const ofKind = (kind: string) => paths.filter((path) => recogniseFile(path, config) === kind);

describe('the samples', () => {
  it('have a configuration and specs without a fault', () => {
    expect(configProblems.map(told)).toEqual([]);
    expect(ofKind('spec').length).toBeGreaterThan(0);
    for (const path of ofKind('spec')) expect(readSpec(path, bytesAt(path)).problems.map(told), path).toEqual([]);
  });

  it('have reference curves and results without a fault, that look like what they are called', () => {
    const tables = [...ofKind('reference'), ...ofKind('result')];
    expect(tables.length).toBeGreaterThan(2);
    for (const path of tables) {
      const { table, problems } = readForceTable(path, bytesAt(path));
      expect(problems.map(told), path).toEqual([]);
      expect(table?.kind, path).toBe(recogniseFile(path, config));
      expect(kindDiffers(path, table!.kind, bytesAt(path)), path).toBeUndefined();
    }
  });

  it('have results that are written again to the same bytes', () => {
    for (const path of ofKind('result')) {
      const written = new TextDecoder().decode(writeForceTable(readForceTable(path, bytesAt(path)).table!));
      expect(written, path).toBe(new TextDecoder().decode(bytesAt(path)).replace(/\r\n/g, '\n'));
    }
  });
});
