import { createConnection, ProposedFeatures } from 'vscode-languageserver/node';
import { nodePlatform } from './nodePlatform';
import { startServer } from './server';

const connection = createConnection(ProposedFeatures.all);
startServer(connection, (options) => nodePlatform(options, new URL('./serverLogWorker.mjs', import.meta.url)));
connection.listen();
