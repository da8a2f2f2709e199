/**
 * Lines for a script that ends its own process at a call into the file system, as a kill there would: `countCalls(at)` from then on counts
 * the calls that the writer makes and kills at the `at`-th; `calls()` tells how many there were. Imports come first, so that they do not count.
 */
export const KILLED_AT_CALL = `
import fs from 'node:fs/promises';
import { syncBuiltinESMExports } from 'node:module';
let made = 0;
const calls = () => made;
async function countCalls(at) {
  const counted = (original) => (...args) => {
    made += 1;
    if (made === at) process.kill(process.pid, 'SIGKILL');
    return original(...args);
  };
  const probe = await fs.open(process.execPath);
  const prototype = Object.getPrototypeOf(probe);
  await probe.close();
  for (const name of ['access', 'chmod', 'lstat', 'open', 'realpath', 'rename', 'unlink']) fs[name] = counted(fs[name]);
  for (const name of ['writeFile', 'sync', 'close']) {
    const original = prototype[name];
    prototype[name] = function (...args) { return counted(original.bind(this))(...args); };
  }
  syncBuiltinESMExports();
}
`;
