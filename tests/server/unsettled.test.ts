import type { CodeLens, Hover, InlayHint } from 'vscode-languageserver/node';
import { afterEach, describe, expect, it } from 'vitest';
import { logText, resultOf, workshopFiles } from '../session/workshop';
import { HeldFiles, LARGE } from './heldFiles';
import { ROOT, StartedServer } from './startedServer';

/* What the editor shows at the rows of a result while a large log is read: what was told last, at the lines where the rows are now. */
const SOFT = resultOf(LARGE);
let server: StartedServer;
let files: HeldFiles;
afterEach(async () => {
  files.release();
  await server.stop();
});

/** A server that has told its first state, and reads the large log again. */
async function reading(): Promise<void> {
  files = new HeldFiles(await workshopFiles());
  const letGo = setInterval(() => {
    files.release();
  }, 5);
  server = await StartedServer.start({ folders: new Map([[ROOT, files]]), settings: { inlayHints: 'outside' } });
  clearInterval(letGo);
  files.readings.length = 0;
}

async function readAgain(): Promise<void> {
  await server.write(LARGE, logText({ serial: 'F-002', seed: 9 }));
  await expect.poll(() => files.readings.length).toBe(1);
}

const textDocument = { uri: `${ROOT}/${SOFT}` };
const hover = (line: number) =>
  server.client.sendRequest<Hover | null>('textDocument/hover', { textDocument, position: { line, character: 1 } });
const hints = async () => {
  const range = { start: { line: 0, character: 0 }, end: { line: 1000, character: 0 } };
  const all = await server.client.sendRequest<InlayHint[]>('textDocument/inlayHint', { textDocument, range });
  return all.map(({ position }) => position.line).sort((a, b) => a - b);
};
const lenses = () => server.client.sendRequest<CodeLens[]>('textDocument/codeLens', { textDocument });
const rowsOf = (text: string): number[] =>
  text.split('\n').flatMap((line, at) => (/^4,(?:100|200|300),/.test(line) ? [at] : []));

describe('while a large log is read', () => {
  it('rows answer from the state that was told last, and are asked again when the next one is told', async () => {
    await reading();
    const text = await server.text(SOFT);
    const [row = -1] = rowsOf(text);
    const [lens] = await lenses();
    const shown = await hover(row);
    await readAgain();
    expect(await hover(row)).toEqual(shown);
    expect(JSON.stringify(shown)).toContain('rebound');
    expect(await hints()).toEqual(rowsOf(text));
    expect((await lenses())[0]).toEqual(lens);
    expect(files.readings[0]!.ended).toBe(false);
    server.refreshed.length = 0;
    await server.settledAfter(async () => {
      files.release();
      await expect.poll(() => files.readings.length).toBe(2);
      files.release();
    });
    await expect
      .poll(() => [...server.refreshed].sort())
      .toEqual(['workspace/codeLens/refresh', 'workspace/inlayHint/refresh']);
  });

  it('they move with their lines, and a row that is edited bears nothing until it is judged', async () => {
    await reading();
    await server.open(SOFT);
    const text = await server.text(SOFT);
    await readAgain();
    const rows = text.split('\n');
    const edited = rowsOf(text)[1]!;
    rows[edited] = rows[edited]!.replace(/^4,200,/, '4,201,');
    await server.type(SOFT, ['# one line more', ...rows].join('\n'));
    // Between the new line and the edited row anything may be other than before; what is below is not.
    expect(await hints()).toEqual(
      rowsOf(text)
        .slice(2)
        .map((line) => line + 1),
    );
    expect(await hover(edited + 1)).toBeNull();
    expect(await hover(rowsOf(text)[2]! + 1)).not.toBeNull();
    await server.type(SOFT, ['# one line more', ...text.split('\n')].join('\n'));
    expect(await hints()).toEqual(rowsOf(text).map((line) => line + 1));
  });
});
