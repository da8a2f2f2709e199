import { defineConfig } from 'vitest/config';

/** `--mode thorough` raises the counts of the property and known-answer tests; the checks themselves are the same. */
export default defineConfig(({ mode }) => {
  const thorough = mode === 'thorough' || process.env['DAMPER_THOROUGH'] === '1';
  return {
    test: {
      include: ['tests/**/*.test.ts'],
      exclude: ['tests/editor/**', 'tests/bench/**'],
      env: { DAMPER_THOROUGH: thorough ? '1' : '' },
      testTimeout: thorough ? 1_800_000 : 120_000,
      hookTimeout: 120_000,
      pool: 'forks',
    },
  };
});
