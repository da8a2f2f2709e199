import { gunzipSync, gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { openTestLog } from '../../../src/files/log/openTestLog';
import { FileFault } from '../../../src/files/problem';
import { FilePortError } from '../../../src/ports/repositoryFiles';
import { open, piecesOf } from './readLog';

const HEADER = 'time [s],displacement [mm],force [N]\n';
const bytesOf = (text: string) => new TextEncoder().encode(text);

describe('a log that ends badly or never', () => {
  const rows = Array.from({ length: 20_000 }, (_, row) => `${row},0,0\n`).join('');

  it('keeps what gzip said, and the line it came to', async () => {
    const whole = gzipSync(HEADER + rows);
    const log = await openTestLog({
      file: 'a.testlog.csv.gz',
      open: async function* () {
        yield* piecesOf(bytesOf(HEADER + rows), 4096);
        gunzipSync(whole.subarray(0, whole.length - 20));
      },
    });
    const error = await drain(log.chunks());
    expect(error).toBeInstanceOf(FileFault);
    expect((error as FileFault).problems).toHaveLength(1);
    expect((error as FileFault).problems[0]).toMatchObject({
      rule: 'unreadable',
      position: { line: 20_002, column: 1 },
    });
    expect((error as FileFault).problems[0]?.message).toContain('unexpected end of file');
    expect((error as FileFault).problems[0]?.remedy).toContain('cut short');
  });

  it.each([
    ['not-found', 'unreadable'],
    ['too-large', 'unreadable'],
    ['outside', 'path-outside'],
  ] as const)('tells the %s of the file port', async (code, rule) => {
    const opening = openTestLog({
      file: 'a.csv',
      // eslint-disable-next-line require-yield -- the port fails at once
      open: async function* () {
        await Promise.resolve();
        throw new FilePortError(code, 'a.csv', 'The words of the port.');
      },
    });
    await expect(opening).rejects.toMatchObject({
      problems: [{ rule, message: expect.stringContaining('The words of the port') as string }],
    });
  });

  it.each([
    ['an open quote', '0,"'],
    ['one line without end', '0,1'],
    ['a comment without end', '#'],
  ])('stops at %s instead of filling the memory', async (_name, start) => {
    let given = 0;
    const piece = new Uint8Array(65_536).fill(start.endsWith('"') ? 10 : 49);
    const log = await openTestLog({
      file: 'a.csv',
      open: async function* () {
        await Promise.resolve();
        yield bytesOf(`${HEADER}0,0,0\n${start}`);
        for (; given < 1000; given++) yield piece;
      },
    });
    const error = await drain(log.chunks());
    expect((error as FileFault).problems).toMatchObject([{ rule: 'file-invalid', position: { line: 3, column: 1 } }]);
    expect((error as FileFault).problems[0]?.message).toContain('longer than');
    expect(given).toBeLessThan(40);
  });

  it('looks for a header in the first megabyte only', async () => {
    const comments = `# ${'x'.repeat(98)}\n`.repeat(30_000);
    await expect(open(comments + HEADER)).rejects.toMatchObject({
      problems: [{ message: expect.stringContaining('1048576') as string }],
    });
  });

  async function drain(chunks: AsyncIterable<unknown>): Promise<unknown> {
    try {
      for await (const chunk of chunks) expect(chunk).toBeDefined();
    } catch (error) {
      return error;
    }
    return undefined;
  }
});
