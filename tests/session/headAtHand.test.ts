import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { readHeadJob, type HeadReport } from '../../src/session/reduceLogJob';
import { FilesAtHand } from './filesAtHand';
import { LOGS, logText, openSession, placeOf, workshopFiles } from './workshop';

const LOG = logText({ serial: 'F-001', seed: 1 });
const bodyAt = LOG.indexOf('time [s]');
const HEADER = LOG.slice(bodyAt, LOG.indexOf('\n', bodyAt) + 1);

/** Logs of all kinds; those that cannot be read have to be told in the same words. */
const TEXTS: Readonly<Record<string, string>> = {
  usual: LOG,
  'with a preamble longer than a start': `# formatVersion: 1\n${'# words\n'.repeat(1000)}${LOG.slice(LOG.indexOf('\n') + 1)}`,
  'with an unknown key': LOG.replace('# serial:', '# colour: red\n# serial:'),
  'with a key that stands twice': LOG.replace('# serial:', '# serial: X\n# serial:'),
  'with a serial that is none': LOG.replace(/# serial: .*/u, '# serial: "a\tb"'),
  'with an unknown column': LOG.replace(HEADER, HEADER.replace('force', 'weight')),
  'without a header': LOG.slice(0, bodyAt),
  'with quotation marks over lines': LOG.replace(HEADER, `"time [s]\n",${HEADER.slice(HEADER.indexOf(',') + 1)}`),
  'with semicolons': LOG.replaceAll(',', ';'),
  'with bare returns': LOG.replaceAll('\n', '\r'),
  'that is short': LOG.slice(0, bodyAt + HEADER.length),
  'that is a reference': '# formatVersion: 1\n# spec: a\nvelocity [mm/s],compression [N],rebound [N]\n'.padEnd(
    4000,
    '1,2,3\n',
  ),
  'that is nothing': '',
  'that is a pointer': 'version https://git-lfs.github.com/spec/v1\noid sha256:00\nsize 1000\n',
  'that is binary': '\u0000\u0001'.repeat(3000),
};

/** By opening the log, whatever its first bytes tell. */
function opened(files: MemoryFiles, file: string): Promise<HeadReport> {
  return readHeadJob({ files, gunzip: nodeGunzip() }, { file });
}

async function headOf(files: MemoryFiles, path: string): Promise<HeadReport> {
  const { session } = openSession(files);
  // The first log only has what expands it loaded.
  await session.run(({ queries, read }) => read.get(queries.logs.head, 'first.testlog.csv.gz'));
  return session.run(({ queries, read }) => read.get(queries.logs.head, path));
}

describe('the head of a log', () => {
  it.each(Object.entries(TEXTS))('is the same by its first bytes as by opening it: one %s', async (_, text) => {
    const files = {
      'first.testlog.csv.gz': gzipSync(LOG),
      'a.testlog.csv': text,
      'b.testlog.csv.gz': gzipSync(text),
    };
    for (const path of ['a.testlog.csv', 'b.testlog.csv.gz']) {
      const told = await opened(new MemoryFiles(files), path);
      expect(await headOf(new FilesAtHand(files), path)).toEqual(told);
      // Where it has to be waited for, in chunks of any size.
      for (const size of [1000, 65_536]) expect(await headOf(new MemoryFiles(files, size), path)).toEqual(told);
    }
  });

  it('of the usual log is told without opening it; of a mapped one it is not', async () => {
    const files = new FilesAtHand({
      'first.testlog.csv.gz': gzipSync(LOG),
      'a.testlog.csv': LOG,
      'b.testlog.csv.gz': gzipSync(LOG),
    });
    expect((await headOf(files, 'a.testlog.csv')).kind).toBe('read');
    expect((await headOf(files, 'b.testlog.csv.gz')).kind).toBe('read');
    expect(files.opened.filter((path) => path !== 'first.testlog.csv.gz')).toEqual([]);
    const mapped = new FilesAtHand({ ...(await workshopFiles()), 'first.testlog.csv.gz': gzipSync(LOG) });
    expect((await headOf(mapped, LOGS.foreign)).kind).toBe('read');
    expect(mapped.opened).toContain(LOGS.foreign);
  });

  it('that can be read does not make up for rows that cannot', async () => {
    const packed = gzipSync(LOG, { level: 0 });
    packed.fill(255, packed.length >> 1);
    const files = { 'first.testlog.csv.gz': gzipSync(LOG), 'dampers/F-001/b.testlog.csv.gz': packed };
    const [atHand, opened] = await Promise.all(
      [new FilesAtHand(files), new MemoryFiles(files)].map((one) => openSession(one).session.review([])),
    );
    const faults = atHand!.findings.filter(({ rule }) => rule === 'unreadable').map(placeOf);
    expect(faults.length).toBe(1);
    expect(faults).toEqual(opened!.findings.filter(({ rule }) => rule === 'unreadable').map(placeOf));
    expect(atHand!.unreadable).toBe(true);
  });
});
