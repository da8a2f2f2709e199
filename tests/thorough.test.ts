import { expect, it } from 'vitest';
import { thorough } from './thorough';

it('the large counts hold where they are asked for, and nowhere else', () => {
  const asked = process.env['npm_lifecycle_event'] === 'test:thorough' || process.env['DAMPER_THOROUGH'] === '1';
  expect(thorough).toBe(asked);
});
