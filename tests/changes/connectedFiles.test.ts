import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { connectedFiles } from '../../src/changes/connectedFiles';
import { ShownFiles } from '../../src/changes/shownFiles';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { fixedClock } from '../../src/platform/memory/memoryServices';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import type { RevisionFiles } from '../../src/ports/revisions';
import { CONFIG_PATH, kindsByConfig } from '../../src/session/kindsByConfig';
import { ListedBlobs } from '../../src/platform/node/gitTreeFiles';
import { ReviewSession } from '../../src/session/reviewSession';
import { bytesOf, FilesAtHand } from '../session/filesAtHand';
import { LOGS, resultOf, SPECS, TODAY, workshopFiles } from '../session/workshop';

type Files = Record<string, string | Uint8Array>;

class BaseFiles extends MemoryFiles implements RevisionFiles {
  readonly commit = 'base';
  readonly blobs: ListedBlobs;
  constructor(files: Files) {
    super(files);
    this.blobs = new ListedBlobs(Object.keys(files).map((path) => [path, path]));
  }
}

/** What is kept of some files where `changed` differ, the same whether the platform has files at hand or not. */
async function keptOf(head: Files, base: Files, changed: readonly string[]): Promise<readonly string[] | undefined> {
  const kept = await keptOn(new MemoryFiles(head), head, base, changed);
  expect(await keptOn(new FilesAtHand(head), head, base, changed)).toEqual(kept);
  return kept;
}

async function keptOn(
  work: MemoryFiles,
  head: Files,
  base: Files,
  changed: readonly string[],
): Promise<readonly string[] | undefined> {
  const files = new ShownFiles(work);
  const session = new ReviewSession({ files, digest: nodeDigest, gunzip: nodeGunzip(), clock: fixedClock(TODAY) });
  const fileKinds = kindsByConfig(bytesOf(head[CONFIG_PATH] ?? ''));
  const kept = await connectedFiles({
    ...{ session, files, fileKinds, options: {} },
    base: new BaseFiles(base),
    changed: new Map(changed.map((path) => [path, fileKinds.kindOf(path)!])),
  });
  return kept && [...kept].sort();
}

const spec = (id: string, rest = ''): string => `formatVersion: 1\nid: ${id}\nreference: ${id}.refcurve.csv\n${rest}`;
const curves = (id: string, rest = ''): string =>
  `# formatVersion: 1\n# spec: ${id}\n${rest}velocity [mm/s],compression [N],rebound [N]\n100,300,-200\n`;
const result = (id: string, source = '', serial = 'F-001', run = 1): string => {
  const line = source === '' ? '' : `# source: [{path: ${source}, sha256: ${'a'.repeat(64)}}]\n`;
  return curves(id, `# serial: ${serial}\n# build: 1\n# run: ${run}\n${line}`);
};
const without = (files: Files, path: string): Files =>
  Object.fromEntries(Object.entries(files).filter(([one]) => one !== path));
const POINTER = `version https://git-lfs.github.com/spec/v1\noid sha256:${'a'.repeat(64)}\nsize 10\n`;

/** Two specs that have nothing to do with each other. */
const TWO: Files = {
  'damper-review.yaml': 'formatVersion: 1\n',
  'a.damper.yaml': spec('a', 'formerly: [a-old]\n'),
  'a.refcurve.csv': curves('a'),
  'a-1.result.csv': result('a', 'a-1.testlog.csv.gz'),
  'a-1.testlog.csv.gz': POINTER,
  'a-2.result.csv': result('a-old'),
  'b.damper.yaml': spec('b'),
  'b.refcurve.csv': curves('b'),
  'b-1.result.csv': result('b', 'b-1.testlog.csv.gz'),
  'b-1.testlog.csv.gz': POINTER,
  'notes.txt': 'nothing of ours',
};
const OF_A = [
  'a-1.result.csv',
  'a-1.testlog.csv.gz',
  'a-2.result.csv',
  'a.damper.yaml',
  'a.refcurve.csv',
  'damper-review.yaml',
];
const OF_B = ['b-1.result.csv', 'b-1.testlog.csv.gz', 'b.damper.yaml', 'b.refcurve.csv', 'damper-review.yaml'];
const OF_BOTH = [...new Set([...OF_A, ...OF_B])].sort();

describe('files that a change concerns', () => {
  it.each(['a.refcurve.csv', 'a.damper.yaml', 'a-1.result.csv', 'a-2.result.csv', 'a-1.testlog.csv.gz'])(
    'are those of the spec that %s is of',
    async (changed) => {
      expect(await keptOf(TWO, TWO, [changed])).toEqual(OF_A);
    },
  );

  const more: Files = {
    ...TWO,
    'other.result.csv': result('a', 'other.testlog.csv.gz', 'F-002'),
    'other.testlog.csv.gz': POINTER,
    'run-1.result.csv': result('a', '', 'F-003', 1),
    'run-2.result.csv': result('a', '', 'F-003', 2),
  };
  const REPEATS = ['run-1.result.csv', 'run-2.result.csv'];
  const OTHER = ['other.result.csv', 'other.testlog.csv.gz'];

  it('are of other dampers only those that were run repeatedly, unless the spec or its reference changed', async () => {
    const sorted = (...paths: readonly string[]) => [...paths].sort();
    expect(await keptOf(more, more, ['a-1.result.csv'])).toEqual(sorted(...OF_A, ...REPEATS));
    expect(await keptOf(more, more, ['a.refcurve.csv'])).toEqual(sorted(...OF_A, ...REPEATS, ...OTHER));
    expect(await keptOf(more, more, ['a.damper.yaml'])).toEqual(sorted(...OF_A, ...REPEATS, ...OTHER));
    expect(await keptOf(more, more, ['other.result.csv'])).toEqual(
      sorted(...OTHER, ...REPEATS, ...OF_A.filter((path) => !/^a-\d/u.test(path))),
    );
    // A run that is gone was a repeat.
    const before = { ...more, 'gone.result.csv': result('a', '', 'F-002', 2) };
    const kept = await keptOf(more, before, ['gone.result.csv', 'b-1.result.csv']);
    expect(kept).toContain('other.result.csv');
  });

  it('are those of every spec that a changed file was of before', async () => {
    const base = { ...TWO, 'a-1.result.csv': result('b') };
    expect(await keptOf(TWO, base, ['a-1.result.csv'])).toEqual(OF_BOTH);
  });

  it('are those of a spec whose reference or result is gone', async () => {
    expect(await keptOf(without(TWO, 'b.refcurve.csv'), TWO, ['b.refcurve.csv'])).toEqual(
      OF_B.filter((path) => path !== 'b.refcurve.csv'),
    );
    expect(await keptOf(without(TWO, 'b-1.result.csv'), TWO, ['b-1.result.csv'])).toEqual(
      OF_B.filter((path) => path !== 'b-1.result.csv'),
    );
  });

  it('are those of two specs that one file ties: a log of the other, a reference adopted from it, an id that both bore', async () => {
    expect(
      await keptOf({ ...TWO, 'b-1.result.csv': result('b', 'a-1.testlog.csv.gz') }, TWO, ['a.damper.yaml']),
    ).toEqual(OF_BOTH.filter((path) => path !== 'b-1.testlog.csv.gz'));
    const adopted = curves('a', '# adopted: {from: b-1.result.csv}\n');
    expect(await keptOf({ ...TWO, 'a.refcurve.csv': adopted }, TWO, ['a.damper.yaml'])).toEqual(OF_BOTH);
    const both = spec('b', 'formerly: [a-old]\n');
    expect(await keptOf({ ...TWO, 'b.damper.yaml': both }, TWO, ['a-1.result.csv'])).toEqual(OF_BOTH);
  });

  it('are also those of a check standard, whose repeats count for every spec', async () => {
    const standard = { ...TWO, 'b.damper.yaml': spec('b', 'role: checkStandard\n') };
    expect(await keptOf(standard, standard, ['a-1.result.csv'])).toEqual(OF_BOTH);
  });

  it('may be all where the configuration or the metadata of a log changed', async () => {
    expect(await keptOf(TWO, TWO, ['damper-review.yaml'])).toBe(undefined);
    expect(await keptOf(TWO, TWO, ['a-1.testlog.csv-metadata.json'])).toBe(undefined);
  });

  it('are of an endurance log all tests of its spec, whatever states that it is one, and that spec', async () => {
    const rows = Array.from({ length: 100 }, (_, i) => `${(i / 100).toFixed(2)},${i}.0,${2 * i}.0`).join('\n');
    const log = (head: string): string => `# formatVersion: 1\n${head}time [s],displacement [mm],force [N]\n${rows}\n`;
    const heat = log('# spec: a\n# serial: F-009\n# build: 1\n# kind: endurance\n');
    const packed = { ...TWO, 'heat.testlog.csv.gz': gzipSync(heat, { level: 0 }) };
    expect(await keptOf(packed, packed, ['a-1.result.csv'])).toEqual([...OF_A, 'heat.testlog.csv.gz'].sort());
    expect(await keptOf(packed, packed, ['b-1.result.csv'])).toEqual(OF_B);
    const odd = { ...TWO, 'heat.testlog.csv': heat.replace('# kind: ', '# kind:   ') };
    expect(await keptOf(odd, odd, ['a-1.result.csv'])).toContain('heat.testlog.csv');
    // Its own preamble names no test; the configuration does, or metadata beside it.
    const bare = { ...TWO, 'heat.testlog.csv': log('') };
    expect(await keptOf(bare, bare, ['a-1.result.csv'])).toEqual(OF_A);
    const words = '{spec: a, serial: F-009, kind: endurance}';
    const mapped = {
      ...bare,
      'damper-review.yaml': `formatVersion: 1\nlogs:\n  - {files: heat.testlog.csv, preamble: ${words}}\n`,
    };
    expect(await keptOf(mapped, mapped, ['a-1.result.csv'])).toContain('heat.testlog.csv');
    const metadata = {
      '@context': 'http://www.w3.org/ns/csvw',
      url: 'heat.testlog.csv',
      dialect: { commentPrefix: '#' },
      notes: [{ spec: 'a', serial: 'F-009', kind: 'endurance' }],
      tableSchema: {
        columns: [
          { titles: 'time [s]', name: 'time', unit: 's' },
          { titles: 'displacement [mm]', name: 'displacement', unit: 'mm' },
          { titles: 'force [N]', name: 'force', unit: 'N' },
        ],
      },
    };
    const described = { ...bare, 'heat.testlog.csv-metadata.json': JSON.stringify(metadata) };
    expect(await keptOf(described, described, ['a-1.result.csv'])).toContain('heat.testlog.csv');
  });

  it('are found by the heads of logs where these are there, as they are and as they were', async () => {
    const files: Files = { ...(await workshopFiles()) };
    const kept = await keptOf(files, files, [SPECS.front]);
    expect(kept).toContain(LOGS.one);
    expect(kept).not.toContain(SPECS.rear);
    const other = Object.values(LOGS).find((path) => kept?.includes(path) === false && path in files)!;
    expect(other).toBeDefined();
    // The log was of the other spec before: both are concerned.
    const before = { ...files, [LOGS.one]: files[other]! };
    expect(await keptOf(without(files, resultOf(LOGS.one)), before, [LOGS.one])).toContain(SPECS.rear);
  });
});
