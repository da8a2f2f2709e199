import { describe, expect, it } from 'vitest';
import { fingerprint } from '../../src/text/fingerprint';

// FNV-1a, 64 bits: test vectors of IETF draft-eastlake-fnv, appendix C (values from memory).
describe('fingerprint', () => {
  it.each([
    ['', 'cbf29ce484222325'],
    ['a', 'af63dc4c8601ec8c'],
    ['foobar', '85944171f73967e8'],
  ])('of %j is that of the published vectors', (text, expected) => {
    expect(fingerprint(text)).toBe(expected);
  });

  it('takes the UTF-8 bytes of a text', () => {
    expect(fingerprint('é')).not.toBe(fingerprint('e'));
    expect(fingerprint('é')).toMatch(/^[0-9a-f]{16}$/);
  });
});
