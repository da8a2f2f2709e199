import { build } from 'esbuild';
import { join } from 'node:path';

/**
 * Bundles a script that imports from `src/`, for tests that need a process or a thread of their own.
 * @param folder where the script is put
 */
export async function bundled(folder: string, name: string, source: string): Promise<string> {
  const outfile = join(folder, `${name}.mjs`);
  await build({
    stdin: { contents: source, resolveDir: process.cwd(), loader: 'ts' },
    bundle: true,
    format: 'esm',
    platform: 'node',
    outfile,
    logLevel: 'silent',
    banner: {
      js: "import { createRequire as madeRequire } from 'node:module'; const require = madeRequire(import.meta.url);",
    },
  });
  return outfile;
}
