import type { CodeAction, Diagnostic, TextDocumentEdit } from 'vscode-languageserver/node';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { REQUEST } from '../../src/protocol/requests';
import { CONFIG, LOGS, resultOf, SPECS, specText } from '../session/workshop';
import { applied, StartedServer } from './startedServer';

let server: StartedServer;
beforeEach(async () => {
  server = await StartedServer.start();
});
afterEach(() => server.stop());

const ONE = resultOf(LOGS.one);

async function fixes(path: string, diagnostic: Diagnostic): Promise<CodeAction[]> {
  return server.client.sendRequest('textDocument/codeAction', {
    textDocument: { uri: server.uri(path) },
    range: diagnostic.range,
    context: { diagnostics: [diagnostic] },
  });
}

describe('quick fixes', () => {
  it('reduces again what was edited by hand', async () => {
    const stored = await server.text(ONE);
    await server.open(ONE);
    const edited = stored.replace(/^4,200,(\d+)/m, (_, force: string) => `4,200,${Number(force) + 1}`);
    expect(edited).not.toBe(stored);
    await server.settledAfter(() => server.type(ONE, edited));
    const altered = server.diagnostics(ONE).find(({ code }) => code === 'result-altered')!;
    expect(edited.split('\n')[altered.range.start.line]).toMatch(/^4,200,/);
    const [fix] = (await fixes(ONE, altered)).filter(({ isPreferred }) => isPreferred);
    const { edit } = await server.client.sendRequest<CodeAction>('codeAction/resolve', fix);
    const [change] = edit!.documentChanges as TextDocumentEdit[];
    expect(change!.textDocument.uri).toBe(server.uri(ONE));
    const mended = applied(edited, change!.edits as never);
    expect(mended).toBe(stored);
    await server.settledAfter(() => server.type(ONE, mended));
    expect(server.listed(ONE).join()).not.toContain('result-altered');
  });

  it('adds a missing unit in a spec and in the header of a table', async () => {
    const spec = specText('alder-front').replace('stroke: 40 mm', 'stroke: 40');
    await server.settledAfter(() => server.write(SPECS.front, spec));
    const [fault] = server.diagnostics(SPECS.front);
    const [first, ...more] = await fixes(SPECS.front, fault!);
    expect([first!.title, more.length > 0]).toEqual(['Add the unit mm', true]);
    const mended = applied(spec, Object.values(first!.edit!.changes!)[0]!);
    expect(mended).toBe(specText('alder-front'));

    const table = (await server.text(ONE)).replace('velocity [mm/s]', 'velocity');
    await server.settledAfter(() => server.write(ONE, table));
    const header = server.diagnostics(ONE).find(({ code }) => code === 'unit-mismatch')!;
    const titles = (await fixes(ONE, header)).map(({ title }) => title);
    expect(titles[0]).toBe('Add the unit mm/s');
  });

  it('offers to adopt and to waive as commands, and never to waive what cannot be read', async () => {
    const drift = server.diagnostics(resultOf(LOGS.two)).find(({ code }) => code === 'drift-from-reference')!;
    const commands = (await fixes(resultOf(LOGS.two), drift)).map(({ command }) => command?.command);
    expect(commands).toEqual(['damperReview.adopt', 'damperReview.waive']);
    await server.settledAfter(() => server.write(SPECS.front, 'id: [\n'));
    const [broken] = server.diagnostics(SPECS.front);
    expect(await fixes(SPECS.front, broken!)).toEqual([]);
  });

  it('writes a waiver with its reason at the end of the list and leaves every other line', async () => {
    const waiver = {
      rule: 'drift-from-reference',
      reason: 'Known: "soft" rebound # noted',
      by: 'the bench',
      until: '2026-12-31',
    };
    const path = resultOf(LOGS.two);
    const { files } = await server.request(REQUEST.waive, { uri: server.uri(path), ...waiver });
    expect(files[0]!.uri).toBe(server.uri('damper-review.yaml'));
    expect(files[0]!.text.startsWith(CONFIG.trimEnd())).toBe(true);
    await server.settledAfter(() => server.write('damper-review.yaml', files[0]!.text));
    const drift = server.diagnostics(path).find(({ code }) => code === 'drift-from-reference')!;
    expect(drift.severity).toBe(4);
    expect(drift.message).toContain('waived until 2026-12-31 by the bench: Known: "soft" rebound # noted');
    const more = await server.request(REQUEST.waive, { uri: server.uri(ONE), ...waiver });
    expect(more.files[0]!.text.match(/^ {2}- rule:/gm)).toHaveLength(2);
  });

  it('refuses a waiver that would not hold, with what to write', async () => {
    await expect(
      server.request(REQUEST.waive, {
        uri: server.uri(ONE),
        rule: 'drift-from-reference',
        reason: '',
        by: 'me',
        until: 'soon',
      }),
    ).rejects.toThrow(/The waiver does not hold/);
    await expect(
      server.request(REQUEST.waive, {
        uri: server.uri(ONE),
        rule: 'no-such-rule',
        reason: 'x',
        by: 'me',
        until: '2026-12-31',
      }),
    ).rejects.toThrow(/There is no rule/);
  });
});
