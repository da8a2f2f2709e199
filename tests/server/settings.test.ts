import type { CodeLens, InlayHint } from 'vscode-languageserver/node';
import { afterEach, expect, it } from 'vitest';
import { LOGS, resultOf } from '../session/workshop';
import { StartedServer } from './startedServer';

const RESULT = resultOf(LOGS.two);
let server: StartedServer | undefined;
afterEach(() => server?.stop());

function hints(from: StartedServer): Promise<readonly InlayHint[]> {
  return from.client.sendRequest('textDocument/inlayHint', {
    textDocument: { uri: from.uri(RESULT) },
    range: { start: { line: 0, character: 0 }, end: { line: 1000, character: 0 } },
  });
}
function lenses(from: StartedServer): Promise<readonly CodeLens[]> {
  return from.client.sendRequest('textDocument/codeLens', { textDocument: { uri: from.uri(RESULT) } });
}

it('asks to be told of changed settings itself, and for the settings of a file with its scope', async () => {
  const settings: Record<string, unknown> = { inlayHints: 'off', codeLens: false };
  server = await StartedServer.start({ settings });
  expect(server.registered).toContain('workspace/didChangeConfiguration');
  await server.open(RESULT);
  expect([await hints(server), await lenses(server)]).toEqual([[], []]);
  const scope = { scopeUri: server.uri(RESULT), section: 'damperReview' };
  expect(server.settingsAsked).toEqual([scope]); // once a file, however often it is needed
  Object.assign(settings, { inlayHints: 'all', codeLens: true });
  expect(await hints(server)).toEqual([]);
  await server.client.sendNotification('workspace/didChangeConfiguration', { settings: null });
  expect((await hints(server)).length).toBeGreaterThan(0);
  expect((await lenses(server)).length).toBeGreaterThan(0);
  expect(server.settingsAsked).toEqual([scope, scope]);
  expect(server.refreshed).toContain('workspace/inlayHint/refresh');
});

it('keeps what a setting should be where it is something else', async () => {
  server = await StartedServer.start({ settings: { inlayHints: 7, codeLens: 'yes' } });
  await server.open(RESULT);
  const marked = await hints(server);
  expect(marked.length).toBeGreaterThan(0);
  expect((await lenses(server)).length).toBeGreaterThan(0);
});
