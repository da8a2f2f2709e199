import type { CompletionItem, Hover, WorkspaceEdit } from 'vscode-languageserver/node';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { LOGS, resultOf, SPECS, specText } from '../session/workshop';
import { yamlPlaceAt, valuePath } from '../../src/server/yamlPlace';
import { applied, StartedServer } from './startedServer';

let server: StartedServer;
beforeAll(async () => {
  server = await StartedServer.start();
  await server.open(SPECS.rear);
});
afterAll(() => server.stop());

/** Position of `¦` in a text, and the text without it. */
function marked(text: string): { readonly text: string; readonly line: number; readonly character: number } {
  const before = text.slice(0, text.indexOf('¦')).split('\n');
  return { text: text.replace('¦', ''), line: before.length - 1, character: before.at(-1)!.length };
}

describe('the place of a cursor in YAML', () => {
  it.each([
    ['¦', '', undefined],
    ['a: 1\n¦', '', undefined],
    ['a:\n  b:\n    c: ¦', 'a.b', 'c'],
    ['a:\n  b:\n    c: 1\n  ¦', 'a', undefined],
    ['a: { b: ¦', 'a', 'b'],
    ['a: { b: 1, ¦', 'a', undefined],
    ['a: { b: { c: 1 }, d: ¦', 'a', 'd'],
    ['a:\n  - b: 1\n    c: ¦', 'a.0', 'c'],
    ['a:\n  - b: 1\n  - ¦', 'a.0', undefined],
    ['a: [1, ¦', 'a', '0'],
    ['a: [{ b: ¦', 'a.0', 'b'],
    ['a:\n  b: 1 # note\n\n  # another\n  ¦', 'a', undefined],
    ['a: {\n  b: ¦', 'a', 'b'],
    ['a: { b: 1, # one {\n  ¦', 'a', undefined],
    ['x:\n  a: { b: { c: 1 },\n    d: ¦', 'x.a', 'd'],
    ['x:\n  a: {\n    b: { c: 1 },\n    d: {\n      e: 1,\n      ¦', 'x.a.d', undefined],
    ['a: [\n  { b: 1 },\n  { b: ¦', 'a.0', 'b'],
    ['a:\n  - { b: 1,\n      c: ¦', 'a.0', 'c'],
    ['a: { b: "}", c: \'{\',\n  d: ¦', 'a', 'd'],
    ['a: { b: 1\n}\nc: ¦', '', 'c'],
    ['a: { b: 1,\nc: ¦', '', 'c'],
  ])('%j', (source, path, key) => {
    const { text, line, character } = marked(source);
    const place = yamlPlaceAt(text.split('\n'), line, character);
    expect([place.path.join('.'), place.key]).toEqual([path, key]);
  });

  it('counts a list item into the path of its value', () => {
    expect(valuePath(yamlPlaceAt(['a: [1, '], 0, 7))).toEqual(['a', 0]);
  });
});

describe('completion from the one schema', () => {
  async function offered(source: string, path = SPECS.rear): Promise<CompletionItem[]> {
    const { text, line, character } = marked(source);
    await server.type(path, text);
    return server.client.sendRequest('textDocument/completion', {
      textDocument: { uri: server.uri(path) },
      position: { line, character },
    });
  }
  const labels = async (source: string): Promise<string[]> => (await offered(source)).map(({ label }) => label);

  it('offers keys, values, units by example, rules and files', async () => {
    expect(await labels('formatVersion: 1\n¦')).toEqual(
      expect.arrayContaining(['id', 'hardware', 'tolerance', 'reference']),
    );
    expect(await labels('tolerance:\n  rebound: { ¦')).toEqual(
      expect.arrayContaining(['relative', 'absolute', 'softer', 'harder']),
    );
    expect(await labels('tolerance:\n  rebound: {\n    relative: 5 %,\n    ¦')).toEqual(
      expect.arrayContaining(['relative', 'absolute', 'softer', 'harder']),
    );
    expect(await labels('purpose: ¦')).toEqual(['release', 'scrutineering']);
    expect(await labels('test:\n  stroke: ¦')).toEqual(['50 mm']);
    expect(await labels('rules:\n  ¦')).toContain('drift-from-reference');
    expect(await labels('reference: ¦')).toEqual(
      expect.arrayContaining(['birch-rear.refcurve.csv', 'alder-front.refcurve.csv']),
    );
    expect(await labels('normalise: ¦')).toEqual(['true', 'false']);
  });

  it('replaces what was typed of the word', async () => {
    const source = 'formatVersion: 1\npurp¦';
    const item = (await offered(source)).find(({ label }) => label === 'purpose')!;
    expect(applied(marked(source).text, [item.textEdit as never])).toBe('formatVersion: 1\npurpose: ');
  });

  it('says what a key is for', async () => {
    await server.type(SPECS.rear, specText('birch-rear'));
    const hover = await server.client.sendRequest<Hover>('textDocument/hover', {
      textDocument: { uri: server.uri(SPECS.rear) },
      position: { line: 2, character: 15 },
    });
    expect((hover.contents as { value: string }).value).toContain('Bore of the body');
  });
});

describe('renaming a spec id', () => {
  const at = (path: string, line: number, character: number) => ({
    textDocument: { uri: server.uri(path) },
    position: { line, character },
  });

  it('edits the spec alone and keeps the old id under formerly', async () => {
    const edit = await server.client.sendRequest<WorkspaceEdit>('textDocument/rename', {
      ...at(SPECS.front, 1, 6),
      newName: 'alder-front-2',
    });
    expect(Object.keys(edit.changes!)).toEqual([server.uri(SPECS.front)]);
    const text = applied(await server.text(SPECS.front), edit.changes![server.uri(SPECS.front)]!);
    expect(text.split('\n').slice(0, 4)).toEqual([
      'formatVersion: 1',
      'id: alder-front-2',
      'formerly: [alder-front]',
      expect.stringContaining('hardware'),
    ]);
    const before = server.listed(resultOf(LOGS.two));
    await server.settledAfter(() => server.write(SPECS.front, text));
    expect(server.listed(resultOf(LOGS.two))).toEqual(before);
    const again = await server.client.sendRequest<WorkspaceEdit>('textDocument/rename', {
      ...at(SPECS.front, 1, 6),
      newName: 'alder-front-3',
    });
    expect(applied(text, again.changes![server.uri(SPECS.front)]!)).toContain(
      'id: alder-front-3\nformerly: [alder-front, alder-front-2]\n',
    );
    await server.settledAfter(() => server.write(SPECS.front, specText('alder-front')));
  });

  it('starts from a result too, which stays as it was written', async () => {
    const path = resultOf(LOGS.two);
    const line = (await server.text(path)).split('\n').findIndex((text) => text.startsWith('# spec:'));
    expect(await server.client.sendRequest('textDocument/prepareRename', at(path, line, 10))).toMatchObject({
      placeholder: 'alder-front',
    });
    const edit = await server.client.sendRequest<WorkspaceEdit>('textDocument/rename', {
      ...at(path, line, 10),
      newName: 'other',
    });
    expect(Object.keys(edit.changes!)).toEqual([server.uri(SPECS.front)]);
  });

  it('refuses an id that another spec bears, in words', async () => {
    await expect(
      server.client.sendRequest('textDocument/rename', { ...at(SPECS.front, 1, 6), newName: 'birch-rear' }),
    ).rejects.toThrow(/Choose an id that no spec bears/);
  });
});
