import js from '@eslint/js';
import tseslint from 'typescript-eslint';

export default tseslint.config(
  { ignores: ['dist/', 'build/', 'node_modules/', 'samples/', 'tests/published/scipy/'] },
  js.configs.recommended,
  {
    files: ['**/*.ts'],
    extends: [...tseslint.configs.strictTypeChecked],
    languageOptions: {
      parserOptions: {
        project: [
          './tsconfig.csv.json',
          './tsconfig.core.json',
          './tsconfig.server.json',
          './tsconfig.node.json',
          './tsconfig.tests.json',
          './tsconfig.extension.json',
          './tsconfig.webview.json',
          './tsconfig.editor.json',
        ],
        tsconfigRootDir: import.meta.dirname,
      },
    },
    rules: {
      '@typescript-eslint/no-non-null-assertion': 'off', // noUncheckedIndexedAccess makes loops over typed arrays need it
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true, allowBoolean: true }],
      '@typescript-eslint/consistent-type-imports': 'error',
      'no-restricted-syntax': [
        'error',
        { selector: 'ExportDefaultDeclaration', message: 'Name what you export.' },
        { selector: 'ExportAllDeclaration', message: 'No barrels: import from the file that defines it.' },
      ],
    },
  },
  {
    files: ['src/cli/*.ts'],
    ignores: ['src/cli/standardStreams.ts'],
    rules: {
      'no-restricted-properties': [
        'error',
        ...['stdout', 'stderr'].map((property) => ({
          object: 'process',
          property,
          message:
            "Use standardStreams.ts: making Node's stream takes 3 ms, and the end waits for those handed out there.",
        })),
      ],
    },
  },
  {
    files: ['vitest.config.mts'],
    languageOptions: { globals: { process: 'readonly', URL: 'readonly' } },
    rules: { 'no-restricted-syntax': 'off' },
  },
  {
    files: ['**/*.mjs'],
    languageOptions: {
      globals: {
        process: 'readonly',
        console: 'readonly',
        URL: 'readonly',
        Buffer: 'readonly',
        performance: 'readonly',
        setTimeout: 'readonly',
        fetch: 'readonly',
      },
    },
  },
);
