/* From starting a process to its first answer: the language server's to `initialize`, or a bare Node.js's one byte where no file is given. */
import { spawn } from 'node:child_process';
import { createProtocolConnection, StreamMessageReader, StreamMessageWriter } from 'vscode-languageserver/node';
import { tell } from '../shared/outcome';

const server = process.argv[2];
const start = performance.now();
const child = spawn(
  process.execPath,
  server === undefined ? ['--eval', "process.stdout.write('x')"] : [server, '--stdio'],
  { stdio: ['pipe', 'pipe', 'inherit'] },
);
if (server === undefined) await new Promise((resolve) => child.stdout.once('data', resolve));
else {
  const client = createProtocolConnection(new StreamMessageReader(child.stdout), new StreamMessageWriter(child.stdin));
  client.listen();
  await client.sendRequest('initialize', {
    processId: null,
    capabilities: {},
    workspaceFolders: [],
    initializationOptions: { trusted: false },
  });
}
const milliseconds = performance.now() - start;
child.kill();
tell({ milliseconds });
process.exit(0);
