import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { exitStatus } from '../../src/review/outcome';
import { CONFIG, logText, openWorkshop, SPECS, specText } from './workshop';

/** Every way of the issue's list, from the file to the exit status. The expected words are what the person at the bench must be able to act on. */
const LOG = 'x/bad.testlog.csv';
const good = logText({ serial: 'F-030', seed: 40 });
const lines = good.split('\n');
const header = lines.findIndex((line) => line.startsWith('time'));
const row = (n: number): number => header + n;
const withLine = (at: number, change: (line: string) => string): string =>
  lines.map((line, i) => (i === at ? change(line) : line)).join('\n');
const withHeader = (change: (line: string) => string): string => withLine(header, change);
const cell = (line: string, column: number, value: string): string => line.split(',').with(column, value).join(',');
const mapRows = (change: (cells: string[], n: number) => string[]): string =>
  lines.map((line, i) => (i > header && line !== '' ? change(line.split(','), i - header).join(',') : line)).join('\n');

interface Bad {
  readonly name: string;
  readonly path?: string;
  readonly content: string | Uint8Array;
  /** Rule and line of the finding. */
  readonly rule: string;
  readonly line?: number;
  /** Must stand in the message or the evidence. */
  readonly says: RegExp;
  /** 0 where a finding is all there is to say. */
  readonly exit: 0 | 1 | 2;
  /** A finding on a log that can be read otherwise does not keep its result from being written. */
  readonly writes?: boolean;
}

const CASES: readonly Bad[] = [
  { name: 'empty', content: '', rule: 'unreadable', line: 1, says: /empty/u, exit: 2 },
  { name: 'header only', content: lines.slice(0, header + 1).join('\n'), rule: 'file-invalid', says: /row/u, exit: 2 },
  {
    name: 'missing column',
    content: withHeader((line) => line.replace('force [N]', 'other [N]')),
    rule: 'file-invalid',
    line: header + 1,
    says: /force/u,
    exit: 2,
  },
  {
    name: 'unknown unit',
    content: withHeader((line) => line.replace('[N]', '[blob]')),
    rule: 'unit-mismatch',
    line: header + 1,
    says: /blob/u,
    exit: 2,
  },
  {
    name: 'wrong dimension',
    content: withHeader((line) => line.replace('[N]', '[mm]')),
    rule: 'unit-mismatch',
    line: header + 1,
    says: /mm/u,
    exit: 2,
  },
  {
    name: 'duplicated column',
    content: withHeader((line) => line.replace('displacement [mm]', 'force [N]')),
    rule: 'file-invalid',
    line: header + 1,
    says: /force/u,
    exit: 2,
  },
  {
    name: 'ragged row',
    content: withLine(row(50), (line) => `${line},1`),
    rule: 'file-invalid',
    line: row(50) + 1,
    says: /cells|columns/u,
    exit: 2,
  },
  {
    name: 'text in a number',
    content: withLine(row(50), (line) => cell(line, 2, 'twelve')),
    rule: 'file-invalid',
    line: row(50) + 1,
    says: /twelve/u,
    exit: 2,
  },
  {
    name: 'NaN',
    content: withLine(row(50), (line) => cell(line, 2, 'NaN')),
    rule: 'file-invalid',
    line: row(50) + 1,
    says: /NaN/u,
    exit: 2,
  },
  {
    name: 'infinity',
    content: withLine(row(50), (line) => cell(line, 2, 'inf')),
    rule: 'file-invalid',
    line: row(50) + 1,
    says: /inf/u,
    exit: 2,
  },
  {
    name: 'time backwards',
    content: withLine(row(60), (line) => cell(line, 0, '0.0000')),
    rule: 'time-not-increasing',
    line: row(60) + 1,
    says: /time/u,
    exit: 2,
  },
  {
    name: 'time standing still',
    content: withLine(row(60), (line) => cell(line, 0, lines[row(59)]!.split(',')[0]!)),
    rule: 'time-not-increasing',
    line: row(60) + 1,
    says: /time/u,
    exit: 2,
  },
  {
    name: 'sign the wrong way round',
    content: mapRows(([t, x, f]) => [t!, x!, String(-Number(f))]),
    rule: 'sign-suspect',
    says: /sign/u,
    exit: 1,
    writes: true,
  },
  {
    name: 'a gap inside a stroke',
    content: lines.filter((_, i) => i < row(700) || i > row(760)).join('\n'),
    rule: 'time-gap',
    says: /missing/u,
    exit: 0,
    writes: true,
  },
  {
    name: 'clipped force',
    content: mapRows(([t, x, f]) => [t!, x!, String(Math.max(-150, Number(f)))]),
    rule: 'force-clipped',
    says: /-?150/u,
    exit: 1,
    writes: true,
  },
  {
    name: 'one single stroke',
    content: lines.slice(0, row(300)).join('\n'),
    rule: 'test-plan-incomplete',
    says: /cycle|stroke|step/u,
    exit: 1,
  },
  {
    name: 'large-file pointer',
    content: `version https://git-lfs.github.com/spec/v1\noid sha256:${'0'.repeat(64)}\nsize 123\n`,
    rule: 'large-file-pointer',
    line: 1,
    says: /pointer/u,
    exit: 1,
  },
  {
    name: 'large-file pointer packed',
    path: `${LOG}.gz`,
    content: `version https://git-lfs.github.com/spec/v1\noid sha256:${'0'.repeat(64)}\nsize 123\n`,
    rule: 'large-file-pointer',
    line: 1,
    says: /pointer/u,
    exit: 1,
  },
  {
    name: 'binary',
    content: Uint8Array.from({ length: 4000 }, (_, i) => (i * 7919) % 256),
    rule: 'unreadable',
    line: 1,
    says: /binary|UTF/u,
    exit: 2,
  },
  {
    name: 'UTF-16',
    content: Buffer.from(`\ufeff${good.slice(0, 4000)}`, 'utf16le'),
    rule: 'unreadable',
    line: 1,
    says: /UTF-16/u,
    exit: 2,
  },
  {
    name: 'truncated gzip',
    path: `${LOG}.gz`,
    content: gzipSync(good).subarray(0, 20_000),
    rule: 'unreadable',
    says: /cut off/u,
    exit: 2,
  },
  {
    name: 'gzip bomb',
    path: `${LOG}.gz`,
    content: gzipSync(
      Buffer.concat([Buffer.from(`${lines.slice(0, header + 1).join('\n')}\n`), Buffer.alloc(80_000_000, '\n')]),
    ),
    rule: 'unreadable',
    says: /expands/u,
    exit: 2,
  },
  {
    name: 'hostile glob',
    path: 'damper-review.yaml',
    content: CONFIG.replace('incoming/**/*.csv', '*a'.repeat(60)),
    rule: 'file-invalid',
    line: 3,
    says: /pattern/u,
    exit: 2,
  },
  {
    name: 'YAML alias bomb',
    path: SPECS.rear,
    content: [
      'a: &a [x,x,x,x,x,x,x,x,x]',
      ...'bcdefghij'
        .split('')
        .map((name, i) => `${name}: &${name} [${Array(9).fill(`*${'abcdefghij'[i]!}`).join(',')}]`),
    ].join('\n'),
    rule: 'spec-invalid',
    says: /alias|anchor/iu,
    exit: 2,
  },
  {
    name: 'unknown key',
    path: SPECS.rear,
    content: specText('birch-rear').replace('tolerance:', 'tolerence:'),
    rule: 'spec-invalid',
    line: 9,
    says: /tolerance/u,
    exit: 2,
  },
  {
    name: 'path that leaves the repository',
    path: SPECS.rear,
    content: specText('birch-rear').replace('reference: ', 'reference: ../../'),
    rule: 'path-outside',
    line: 12,
    says: /\.\./u,
    exit: 2,
  },
];

describe('bad input, from the file to the exit status', () => {
  it.each(CASES)('$name', async ({ path = LOG, content, rule, line, says, exit, writes }) => {
    const { session } = await openWorkshop({ [path]: content });
    const outcome = await session.review([path]);
    const finding = outcome.findings.find((one) => one.rule === rule);
    expect(
      outcome.findings.map((one) => `${one.rule} ${one.file}:${one.position.line} ${one.message}`).join('\n'),
    ).toContain(rule);
    expect(finding!.file).toBe(path);
    if (line !== undefined) expect(finding!.position.line).toBe(line);
    expect(finding!.position.column).toBeGreaterThanOrEqual(1);
    expect(`${finding!.message} ${JSON.stringify(finding!.evidence)} ${finding!.next}`).toMatch(says);
    expect(finding!.next.length).toBeGreaterThan(10);
    expect(exitStatus(outcome, 'undecided')).toBe(exit);
    if (exit === 2) expect(exitStatus(outcome, 'never')).toBe(2);
    // No message may be that of a fault of our own.
    expect(outcome.findings.filter((one) => one.message.includes('The program failed'))).toEqual([]);
    if (path === LOG || path === `${LOG}.gz`) {
      const reduced = await session.reduce([path]);
      expect(reduced.written.length).toBe(writes === true ? 1 : 0);
      if (writes !== true) expect(reduced.problems.length).toBeGreaterThan(0);
    }
  });

  it('names the nearest key and the column of a cell', async () => {
    const spec = await (
      await openWorkshop({ [SPECS.rear]: specText('birch-rear').replace('tolerance:', 'tolerence:') })
    ).session.review([SPECS.rear]);
    expect(spec.findings.find((one) => one.rule === 'spec-invalid')?.next).toContain('tolerance');
    const log = await (
      await openWorkshop({ [LOG]: withLine(row(50), (text) => cell(text, 2, 'twelve')) })
    ).session.review([LOG]);
    const finding = log.findings.find((one) => one.rule === 'file-invalid')!;
    expect(finding.evidence).toMatchObject({ column: expect.stringContaining('force') as string, value: 'twelve' });
    expect(finding.position.column).toBe(lines[row(50)]!.split(',').slice(0, 2).join(',').length + 2);
  });

  it('says what a file looks like that has another name', async () => {
    const { session } = await openWorkshop({ 'x/a.result.csv': good, 'x/b.refcurve.csv': good });
    const outcome = await session.review(['x']);
    expect(outcome.findings.filter((one) => one.rule === 'file-kind-differs').map((one) => one.file)).toEqual([
      'x/a.result.csv',
      'x/b.refcurve.csv',
    ]);
    expect(outcome.unreadable).toBe(true);
  });

  it('judges the rest beside it', async () => {
    const { session } = await openWorkshop({ [LOG]: '', 'x/other.testlog.csv': '\0\0\0\0' });
    const outcome = await session.review([]);
    expect(outcome.results).toHaveLength(4);
    expect(exitStatus(outcome, 'never')).toBe(2);
  });
});
