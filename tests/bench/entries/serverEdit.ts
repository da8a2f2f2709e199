/* From a keystroke in a result to its diagnostics, over a real connection, in a repository of so many results. */
import { PassThrough } from 'node:stream';
import {
  createConnection,
  createProtocolConnection,
  StreamMessageReader,
  StreamMessageWriter,
} from 'vscode-languageserver/node';
import { startServer } from '../../../src/server/server';
import { memoryPlatform } from '../../server/memoryPlatform';
import { fillRepository } from '../shared/filledRepository';
import { tell } from '../shared/outcome';

const ROOT = 'file:///w/bench';
const count = Number(process.argv[2]);
const quiet = Number(process.argv[3]);
const rounds = Number(process.argv[4] ?? 15);

const { files, store, edited } = await fillRepository(count);
const [up, down] = [new PassThrough(), new PassThrough()];
const server = createConnection(new StreamMessageReader(up), new StreamMessageWriter(down));
startServer(server, () => memoryPlatform(new Map([[ROOT, files]]), { store }), { quiet, patience: 500 });
server.listen();
const client = createProtocolConnection(new StreamMessageReader(down), new StreamMessageWriter(up));
let arrived: () => void = () => undefined;
let published = 0;
client.onNotification('textDocument/publishDiagnostics', () => {
  published += 1;
});
client.onNotification('damperReview/changed', () => {
  arrived();
});
client.onRequest('workspace/configuration', () => [{}]);
client.listen();
const next = (): Promise<void> =>
  new Promise((resolve) => {
    arrived = resolve;
  });

const first = next();
const started = performance.now();
await client.sendRequest('initialize', {
  processId: null,
  capabilities: { workspace: { workspaceFolders: true } },
  workspaceFolders: [{ uri: ROOT, name: 'bench' }],
  initializationOptions: { trusted: true },
});
await client.sendNotification('initialized', {});
await first;
const whole = performance.now() - started;

const uri = `${ROOT}/${edited}`;
const text = new TextDecoder().decode(await files.read(edited));
await client.sendNotification('textDocument/didOpen', {
  textDocument: { uri, languageId: 'csv', version: 1, text },
});
const times: number[] = [];
for (let edit = 1; edit <= rounds + 3; edit++) {
  const settled = next();
  const start = performance.now();
  const changed = text.replace(/^4,200,(\d+)/m, (_, force: string) => `4,200,${Number(force) + edit}`);
  await client.sendNotification('textDocument/didChange', {
    textDocument: { uri, version: edit + 1 },
    contentChanges: [{ text: changed }],
  });
  await settled;
  if (edit > 3) times.push(performance.now() - start);
}
times.sort((a, b) => a - b);
process.stderr.write(`${count} results: first review ${whole.toFixed(0)} ms, ${published} sets\n`);
tell({ milliseconds: times[times.length >> 1]! });
process.exit(0);
