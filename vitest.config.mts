import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

const tests = fileURLToPath(new URL('tests/', import.meta.url));
const runOtherwise = ['tests/editor/**', 'tests/bench/**'];

/**
 * `--mode thorough` raises the counts of the property and known-answer tests; the checks themselves are the same. Test files share what they
 * import, which takes half of the time that loading it for each does; those that put a stand-in in a module's place have modules of their own.
 */
export default defineConfig(({ mode }) => {
  // Written down, as the two projects read this file again with a mode of their own.
  if (mode === 'thorough') process.env['DAMPER_THOROUGH'] = '1';
  const thorough = process.env['DAMPER_THOROUGH'] === '1';
  const ofTheirOwn = filesWithStandIns();
  return {
    test: {
      testTimeout: thorough ? 1_800_000 : 120_000,
      hookTimeout: 120_000,
      pool: 'forks',
      maxWorkers: '100%',
      projects: [
        {
          extends: true,
          test: {
            name: 'shared',
            include: ['tests/**/*.test.ts'],
            exclude: [...runOtherwise, ...ofTheirOwn],
            isolate: false,
          },
        },
        { extends: true, test: { name: 'apart', include: ofTheirOwn } },
      ],
    },
  };
});

function filesWithStandIns() {
  return readdirSync(tests, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.test.ts') && readFileSync(join(tests, name), 'utf8').includes('vi.mock('))
    .map((name) => `tests/${name.replaceAll('\\', '/')}`);
}
