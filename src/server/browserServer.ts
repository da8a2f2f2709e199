import { BrowserMessageReader, BrowserMessageWriter, createConnection } from 'vscode-languageserver/browser';
import { browserPlatform } from './browserPlatform';
import { startServer } from './server';

declare const self: DedicatedWorkerGlobalScope;

const connection = createConnection(new BrowserMessageReader(self), new BrowserMessageWriter(self));
startServer(connection, () => browserPlatform(connection));
connection.listen();
