import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readForceTable } from '../../src/files/readForceTable';
import { NO_TIES, tiesOfBytes } from '../../src/session/fileTies';

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const HEADER = 'velocity [mm/s],compression [N],rebound [N]\n100,300,-200\n200,400,-300\n';
const SHA = 'a'.repeat(64);

/** A preamble line of each key as this program writes it, and as others may. */
const LINES = {
  spec: [
    '# spec: alder-front',
    '#spec: alder-front',
    '#  spec: "alder front"',
    "# spec: 'x'",
    '# spec:',
    '# spec: a b',
  ],
  serial: ['# serial: F-001', '# serial: s: d'],
  build: ['# build: 1', '# build: 1 b'],
  run: ['# run: 2', '# run: 02', '#run: 2', '# run:  2', '# run: x', '# rung: 3'],
  source: [
    `# source: [{path: dampers/a.testlog.csv, sha256: ${SHA}}]`,
    `# source: [{path: ./dampers//a.testlog.csv, sha256: ${SHA}}, {path: "b c.csv", sha256: ${SHA}}]`,
    `#\tsource: [{sha256: ${SHA}, path: 'it.csv'}]`,
    `# source: [{path: ../a.csv, sha256: ${SHA}}]`,
    '# source: []',
    '# source : []',
  ],
  note: [
    ...['# spec it is not', '# any words', '#', '', '# adopted by nobody', '# stroke: 40 mm', '# drive: sine'],
    ...['# a note\r# run: 7', '# a note\u2028# spec: other', '#\u00a0serial: F-009'],
  ],
} as const;

const line = (key: keyof typeof LINES): fc.Arbitrary<string> => fc.constantFrom(...LINES[key]);
const preamble = fc
  .tuple(
    line('spec'),
    line('serial'),
    line('build'),
    fc.option(line('source'), { nil: '# note' }),
    fc.option(line('run'), { nil: '# note' }),
    fc.array(line('note'), { maxLength: 3 }),
  )
  .chain(([spec, serial, build, source, run, notes]) =>
    fc.shuffledSubarray(['# formatVersion: 1', spec, serial, build, source, run, ...notes], { minLength: 6 }),
  );

describe('ties of a result', () => {
  it('are what its reader finds, however it is written', () => {
    fc.assert(
      fc.property(preamble, fc.constantFrom('\n', '\r\n'), (lines, end) => {
        const bytes = bytesOf([...lines, ...HEADER.split('\n')].join(end));
        const { table } = readForceTable('x.result.csv', bytes);
        const ties = tiesOfBytes('x.result.csv', 'result', bytes)!;
        if (table === undefined) return;
        const { serial = '', build = '', run = 1, source = [] } = table.result ?? {};
        const paths = source.map((log) => log.path);
        expect(ties).toEqual({
          ...{ kind: 'result', spec: table.spec, serial, build, run: String(run), paths, isForSpec: false },
        });
      }),
      { seed: 20261125, numRuns: process.env['DAMPER_THOROUGH'] === '1' ? 20_000 : 500 },
    );
  });

  it('go on to the end of a long preamble', () => {
    const head = `# formatVersion: 1\n# spec: alder\n# serial: F-001\n# build: 1\n`;
    const source = `# source: [{path: a.testlog.csv, sha256: ${SHA}}]\n`;
    const notes = '# a note of no key, repeated until it is long\n'.repeat(120);
    for (const between of ['', notes])
      expect(tiesOfBytes('x.result.csv', 'result', bytesOf(head + between + source + HEADER))).toMatchObject({
        ...{ spec: 'alder', serial: 'F-001', build: '1', run: '1', paths: ['a.testlog.csv'] },
      });
  });

  it('are none where the file is no table', () => {
    expect(tiesOfBytes('x.result.csv', 'result', bytesOf(''))).toEqual(NO_TIES);
    expect(tiesOfBytes('x.result.csv', 'result', Uint8Array.of(35, 0, 255, 10))).toEqual(NO_TIES);
  });
});

describe('ties of other files', () => {
  it('a reference names the results that it was adopted from', () => {
    const text = `# formatVersion: 1\n# spec: alder\n# adopted: {from: [a.result.csv, b.result.csv], on: 2026-05-01}\n${HEADER}`;
    expect(tiesOfBytes('x.refcurve.csv', 'reference', bytesOf(text))).toEqual({
      ...{ kind: 'naming', paths: ['a.result.csv', 'b.result.csv'] },
    });
  });

  it('a spec has its id, its former ids and its reference; that of a check standard is for all', () => {
    const spec = 'formatVersion: 1\nid: alder\nformerly: [birch, cedar]\nreference: ../curves/a.refcurve.csv\n';
    expect(tiesOfBytes('specs/a.damper.yaml', 'spec', bytesOf(spec))).toEqual({
      kind: 'spec',
      ids: ['alder', 'birch', 'cedar'],
      paths: ['curves/a.refcurve.csv'],
      isForAll: false,
    });
    const standard = tiesOfBytes('a.damper.yaml', 'spec', bytesOf(`${spec}role: checkStandard\n`));
    expect(standard).toMatchObject({ isForAll: true });
    expect(tiesOfBytes('a.damper.yaml', 'spec', bytesOf('- : ['))).toMatchObject({ ids: [], paths: [] });
  });

  it('a log has to be read, unless a pointer stands in its place; its metadata is tied to it', () => {
    const pointer = `version https://git-lfs.github.com/spec/v1\noid sha256:${SHA}\nsize 10\n`;
    expect(tiesOfBytes('a.testlog.csv.gz', 'testLog', bytesOf(pointer))).toEqual(NO_TIES);
    expect(tiesOfBytes('a.testlog.csv', 'testLog', bytesOf('# spec: alder\n'))).toBe(undefined);
    const metadata = tiesOfBytes('a.testlog.csv-metadata.json', 'csvw', bytesOf('{}'));
    expect(metadata?.paths).toEqual(['a.testlog.csv']);
  });
});
