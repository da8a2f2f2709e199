import type { CodeLens, DocumentSymbol, Hover, InlayHint, Location } from 'vscode-languageserver/node';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { LOGS, REFERENCES, resultOf, SPECS } from '../session/workshop';
import { StartedServer } from './startedServer';

/* What the editor shows at the rows of a result and at the files that rest on each other. */
const SOFT = resultOf(LOGS.two);
let server: StartedServer;
let lines: string[];
beforeAll(async () => {
  server = await StartedServer.start({ settings: { inlayHints: 'outside' } });
  lines = (await server.text(SOFT)).split('\n');
});
afterAll(() => server.stop());

const at = (path: string, line: number, character = 1) => ({
  textDocument: { uri: server.uri(path) },
  position: { line, character },
});
const rowOf = (speed: number): number => lines.findIndex((line) => line.startsWith(`4,${speed},`));
const lineOf = async (path: string, start: string): Promise<number> =>
  (await server.text(path)).split('\n').findIndex((line) => line.startsWith(start));

describe('a row of a result', () => {
  it('tells reference, drift, tolerance and uncertainty of both sides', async () => {
    const hover = await server.client.sendRequest<Hover>('textDocument/hover', at(SOFT, rowOf(300)));
    const { value } = hover.contents as { value: string };
    const cells = value
      .split('\n')
      .filter((line) => line.startsWith('|'))
      .map((line) => line.split('|').map((cell) => cell.trim()));
    expect(cells[0]!.slice(2, 4)).toEqual(['compression\\: pass', 'rebound\\: fail']);
    expect(cells.slice(2).map((row) => row[1])).toEqual([
      'load cell',
      'damping',
      'reference',
      'drift',
      'tolerance',
      'uncertainty',
      'of tolerance',
    ]);
    const figure = (name: string): number =>
      Number(
        cells
          .find((row) => row[1] === name)![3]!
          .replaceAll('\\', '')
          .replace(' N', ''),
      );
    const force = Number(lines[rowOf(300)]!.split(',')[3]);
    expect(figure('load cell')).toBe(force);
    expect(figure('damping') - figure('reference')).toBeCloseTo(figure('drift'), 0);
  });

  it('bears a hint where it is outside tolerance', async () => {
    const range = { start: { line: 0, character: 0 }, end: { line: lines.length, character: 0 } };
    const hints = await server.client.sendRequest<InlayHint[]>('textDocument/inlayHint', {
      textDocument: { uri: server.uri(SOFT) },
      range,
    });
    expect(hints.map(({ position }) => position.line).sort((a, b) => a - b)).toEqual([
      rowOf(100),
      rowOf(200),
      rowOf(300),
    ]);
    expect(hints[0]!.label).toMatch(/^rebound \d+(\.\d)? % of tolerance, softer$/);
    expect(hints.every(({ position }) => position.character === lines[position.line]!.length)).toBe(true);
  });

  it('leads to the row of the reference', async () => {
    const [found] = await server.client.sendRequest<Location[]>('textDocument/definition', at(SOFT, rowOf(200)));
    expect(found!.uri).toBe(server.uri(REFERENCES.front));
    expect((await server.text(REFERENCES.front)).split('\n')[found!.range.start.line]).toMatch(/^4,200,/);
  });

  it('stands in the outline below its setting', async () => {
    const symbols = await server.client.sendRequest<DocumentSymbol[]>('textDocument/documentSymbol', {
      textDocument: { uri: server.uri(SOFT) },
    });
    expect(symbols.map(({ name }) => name)).toEqual(['R 4']);
    expect(symbols[0]!.children!.map(({ name }) => name)).toEqual(['100 mm/s', '200 mm/s', '300 mm/s']);
  });
});

describe('one line of lenses', () => {
  it('says the verdict over a result, and what rests on a spec', async () => {
    const lenses = (path: string) =>
      server.client.sendRequest<CodeLens[]>('textDocument/codeLens', { textDocument: { uri: server.uri(path) } });
    const ofResult = await lenses(SOFT);
    expect(ofResult.map(({ range }) => range.start.line)).toEqual([0, 0]);
    expect(ofResult[0]!.command).toMatchObject({ command: 'damperReview.preview', arguments: [server.uri(SOFT)] });
    expect(ofResult[0]!.command!.title).toMatch(/^F-002 build 1 FAIL: \d+ % of tolerance, rebound/);
    expect((await lenses(SPECS.front)).map(({ command }) => command!.title)).toEqual([
      '3 results rest on it: 1 fail, 2 pass',
    ]);
  });
});

describe('files that rest on each other', () => {
  it('leads from a spec id to its spec, and from paths to files', async () => {
    const definition = async (path: string, line: number, character: number) =>
      (await server.client.sendRequest<Location[]>('textDocument/definition', at(path, line, character))).map(
        ({ uri }) => uri,
      );
    expect(await definition(SOFT, await lineOf(SOFT, '# spec:'), 10)).toEqual([server.uri(SPECS.front)]);
    expect(await definition(SPECS.front, await lineOf(SPECS.front, 'reference:'), 15)).toEqual([
      server.uri(REFERENCES.front),
    ]);
    const source = await lineOf(SOFT, '# source:');
    expect(await definition(SOFT, source, lines[source]!.indexOf('two.testlog'))).toEqual([server.uri(LOGS.two)]);
  });

  it('finds what rests on a reference and on a spec', async () => {
    const references = async (path: string, line: number, character: number) =>
      (
        await server.client.sendRequest<Location[]>('textDocument/references', {
          ...at(path, line, character),
          context: { includeDeclaration: false },
        })
      )
        .map(({ uri }) => uri.slice(uri.lastIndexOf('/') + 1))
        .sort();
    expect(await references(REFERENCES.front, 3, 1)).toEqual([
      'alder-front.damper.yaml',
      'any.result.csv',
      'one.result.csv',
      'two.result.csv',
    ]);
    expect(await references(SPECS.rear, 1, 5)).toEqual(['rear.result.csv']);
  });
});
