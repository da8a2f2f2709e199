import { defineConfig } from 'vitest/config';

/** DAMPER_THOROUGH=1 raises the counts of the property and known-answer tests; the checks themselves are the same. */
const thorough = process.env['DAMPER_THOROUGH'] === '1';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/editor/**', 'tests/bench/**'],
    testTimeout: thorough ? 1_800_000 : 120_000,
    hookTimeout: 120_000,
    pool: 'forks',
  },
});
