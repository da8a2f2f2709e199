import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readForceTable } from '../../src/files/readForceTable';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { NO_TIES, tiesOfBytes, tiesOfLog, tiesOfLogStart } from '../../src/session/fileTies';
import { bytesOf } from './filesAtHand';
import { openSession } from './workshop';
import { thorough } from '../thorough';

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
      { seed: 20261125, numRuns: thorough ? 20_000 : 500 },
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

const LOG_LINES = {
  spec: ['# spec: alder', '#  spec: birch', '# spec: "c d"', '# spec:', '# spec: alder # old', '#spec: alder'],
  serial: ['# serial: F-001', '# serial: s: d', '# serial: ü', '# no serial'],
  build: ['# build: 1', '# build: 1 b', '# built'],
  run: ['# run: 2', '# run: 02', '#run: 2', '# run: x', '# rung: 3', '# run: 2\n# run: 3'],
  kind: ['# kind: staircase', '# kind: endurance', '# kind:  endurance', '# kind: [endurance]', '# kind of a test'],
  note: ['# words', '#', '', '# stroke: 40 mm', '# setting: {R: 4}', '# a note\r# run: 7', '# a\u2028# spec: other'],
} as const;
/** The usual form of each more often than not: a line of another one sends the whole log to its reader. */
const logLine = (key: keyof typeof LOG_LINES): fc.Arbitrary<string> =>
  fc.oneof({ weight: 4, arbitrary: fc.constant(LOG_LINES[key][0]) }, fc.constantFrom(...LOG_LINES[key]));
const ROWS = 'time [s],displacement [mm],force [N]\n0.000,1.0,2.0\n0.001,1.1,2.0\n';

describe('ties of a log by its start', () => {
  it('are what its head has, where it is plain; of a log that cannot be read they do not matter', async () => {
    let plain = 0;
    const runs = thorough ? 5000 : 200;
    await fc.assert(
      fc.asyncProperty(
        fc
          .tuple(...(['spec', 'serial', 'build', 'run', 'kind', 'note'] as const).map(logLine))
          .chain((lines) => fc.shuffledSubarray(['# formatVersion: 1', ...lines], { minLength: 3 })),
        fc.constantFrom('\n', '\r\n'),
        fc.constantFrom(ROWS, `\n${ROWS}`, '# more', ''),
        async (lines, end, rest) => {
          const bytes = bytesOf(lines.map((line) => line + end).join('') + rest);
          const ties = tiesOfLogStart(bytes);
          if (ties === undefined) return;
          const files = new MemoryFiles({ 'a.testlog.csv': bytes });
          const { session } = openSession(files);
          const read = await session.run((run) => tiesOfLog(run, 'a.testlog.csv'));
          if (read === NO_TIES) return;
          plain += 1;
          expect(ties).toEqual(read);
        },
      ),
      { seed: 20261126, numRuns: runs },
    );
    expect(plain).toBeGreaterThan(runs / 20);
  });

  it('are those of the usual log, and unknown where its preamble does not end in these bytes', () => {
    const head = '# formatVersion: 1\n# spec: alder\n# serial: F-001\n# build: 2\n# kind: endurance\n';
    expect(tiesOfLogStart(bytesOf(head + ROWS))).toEqual({
      ...{ kind: 'log', spec: 'alder', serial: 'F-001', build: '2', run: '1', paths: [], isForSpec: true },
    });
    for (const start of [head, head.slice(0, -3), `${head}\n`, ROWS, '', `\ufeff${head}${ROWS}`])
      expect(tiesOfLogStart(bytesOf(start))).toBeUndefined();
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
