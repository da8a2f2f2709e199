import { spawnSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { thorough } from './thorough';

const ASKED = 'the large counts hold where they are asked for';

it(ASKED, () => {
  if (process.env['npm_lifecycle_event'] === 'test:thorough') expect(thorough).toBe(true);
});

it('the mode of test:thorough asks for them', () => {
  const ours = Object.entries(process.env).filter(([name]) => !name.startsWith('VITEST') && name !== 'TEST');
  const { status, stdout } = spawnSync(
    process.execPath,
    ['node_modules/vitest/vitest.mjs', 'run', '--mode', 'thorough', 'tests/thorough.test.ts', '-t', ASKED],
    { env: { ...Object.fromEntries(ours), npm_lifecycle_event: 'test:thorough' }, encoding: 'utf8' },
  );
  expect(stdout).toContain('1 passed');
  expect(status).toBe(0);
});
