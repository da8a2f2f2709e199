import { join } from 'node:path';
import { sampleLogs } from './samples/sampleLogs';
import { storeLog } from './samples/storeLog';

/** `npm run samples`: writes the raw logs of samples/ from their seeds. Configuration, specs and README are kept by hand. */
const root = join(process.cwd(), 'samples');
for (const log of sampleLogs()) {
  if (storeLog(root, log)) process.stdout.write(`${log.path}\n`);
}
