// Writes samples/ again from the seeded simulator of the tests: bundles the writer, then runs it.
import { build } from 'esbuild';
import { spawnSync } from 'node:child_process';

await build({
  entryPoints: ['tests/simulator/writeSamples.ts'],
  bundle: true,
  platform: 'node',
  format: 'esm',
  target: 'node20',
  outfile: 'build/writeSamples.mjs',
  logLevel: 'warning',
  banner: {
    js: "import { createRequire as createRequireForBundle } from 'node:module'; const require = createRequireForBundle(import.meta.url);",
  },
});
process.exit(spawnSync(process.execPath, ['build/writeSamples.mjs'], { stdio: 'inherit' }).status ?? 1);
