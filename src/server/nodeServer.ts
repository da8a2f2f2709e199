import { createConnection, ProposedFeatures } from 'vscode-languageserver/node';
import { nodePlatforms } from './nodePlatforms';
import { startServer } from './server';

const connection = createConnection(ProposedFeatures.all);
const worker = new URL('./serverLogWorker.mjs', import.meta.url);
startServer(connection, (options) => nodePlatforms(options, worker, connection));
connection.listen();
