import { defineConfig } from 'vitest/config';

/** The packed extension in a real editor. One host and one browser serve every file, one after the other. */
export default defineConfig({
  test: {
    include: ['tests/editor/**/*.test.ts'],
    globalSetup: ['tests/editor/globalSetup.ts'],
    fileParallelism: false,
    isolate: false,
    pool: 'forks',
    testTimeout: 90_000,
    hookTimeout: 120_000,
  },
});
