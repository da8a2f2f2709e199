// compileAhead.mjs BUNDLE COMPILED: has the command line review the samples twice, the second time from what the first one kept, and writes
// what V8 compiled on the way, so that a start need not compile it again. src/cli/start.ts reads it.
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { Script } from 'node:vm';

const [bundle, compiled] = process.argv.slice(2);
const started = resolve('dist/damper-review.cjs');
process.argv = [process.execPath, started, 'check', 'samples', '--fail-on', 'never'];
mkdirSync('build', { recursive: true });
const cache = mkdtempSync(join(resolve('build'), 'compile-ahead-'));
for (const name of ['XDG_CACHE_HOME', 'LOCALAPPDATA', 'HOME']) process.env[name] = cache;
const script = new Script(readFileSync(bundle, 'latin1'), { filename: resolve(bundle) });
// Code of functions that are called but once must still be there at the end. V8 compares flags when it takes the code, so the flag goes back.
setFlagsFromString('--no-flush-bytecode');
process.on('exit', () => {
  rmSync(cache, { recursive: true, force: true });
  setFlagsFromString('--flush-bytecode');
  writeFileSync(compiled, script.createCachedData());
});
const { entries } = script.runInThisContext()(createRequire(started), pathToFileURL(started).href);
for (let run = 0; run < 2; run++) await entries.main();
