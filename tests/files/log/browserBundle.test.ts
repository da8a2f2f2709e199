import { createContext, runInContext } from 'node:vm';
import { build } from 'esbuild';
import { describe, expect, it } from 'vitest';

/** A page's globals, as far as the reader may use them: no Buffer, no process, no require. */
function pageContext(): object {
  return createContext({ TextDecoder, TextEncoder, Uint8Array });
}

describe('the log reader in a browser', () => {
  it('reads plain, quoted and faulty rows without anything of Node.js', async () => {
    const { outputFiles } = await build({
      stdin: {
        contents: `
          import { openTestLog } from './src/files/log/openTestLog';
          globalThis.read = async (text) => {
            const bytes = new TextEncoder().encode(text);
            try {
              const log = await openTestLog({ file: 'a.csv', open: async function* () { yield bytes; } });
              const force = [];
              for await (const chunk of log.chunks()) force.push(...chunk.force);
              return { force, serial: log.head.serial };
            } catch (error) {
              return error.problems.map(({ position, message }) => ({ position, message }));
            }
          };`,
        resolveDir: new URL('../../../', import.meta.url).pathname,
        loader: 'ts',
      },
      alias: { 'csv-parse/sync': 'csv-parse/browser/esm/sync' },
      bundle: true,
      write: false,
      platform: 'browser',
      format: 'iife',
      target: 'es2022',
      logLevel: 'silent',
    });
    const context = pageContext() as { read?: (text: string) => Promise<unknown> };
    runInContext(outputFiles[0]!.text, context);
    const header = '# serial: 017\ntime [s],displacement [mm],force [N]\n';
    expect(await context.read!(`${header}0,0,1.5\n1,"2","-3.25"\n`)).toEqual({ force: [1.5, -3.25], serial: '017' });
    expect(await context.read!(`${header}0,0,1.5\n1,"2"x,0\n`)).toMatchObject([{ position: { line: 4, column: 3 } }]);
  });
});
