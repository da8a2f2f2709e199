import { createConnection, ProposedFeatures } from 'vscode-languageserver/node';
import { putHelperThreadsBehind } from '../platform/node/helperThreads';
import { nodePlatforms } from './nodePlatforms';
import { startServer } from './server';

putHelperThreadsBehind(); // the editor comes first, also before what V8 compiles and clears up of a log that is read
const connection = createConnection(ProposedFeatures.all);
const worker = new URL('./serverLogWorker.mjs', import.meta.url);
startServer(connection, (options) => nodePlatforms(options, worker, connection));
connection.listen();
