import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkGlob, GLOB_LIMITS, matchesGlob } from '../../src/files/globs';
import { thorough } from '../thorough';

const RUNS = thorough ? 50_000 : 2000;

describe('matchesGlob', () => {
  it.each([
    ['incoming/**/*.csv', 'incoming/a.csv', true],
    ['incoming/**/*.csv', 'incoming/F-017/2/a.csv', true],
    ['incoming/**/*.csv', 'outgoing/a.csv', false],
    ['incoming/**', 'incoming/a/b', true],
    ['**', 'a/b/c', true],
    ['**/a.csv', 'a.csv', true],
    ['dampers/F-003/**', 'dampers/F-003/build-1/a.testlog.csv', true],
    ['dampers/F-003/**', 'dampers/F-0031/a', false],
    ['*.csv', 'a/b.csv', false],
    ['a?.csv', 'ab.csv', true],
    ['a?.csv', 'a/.csv', false],
    ['{a,b}/*.{csv,tsv}', 'b/x.tsv', true],
    ['{a,b{c,d}}.csv', 'bd.csv', true],
    ['{a,b{c,d}}.csv', 'b.csv', false],
    ['run[12].csv', 'run2.csv', true],
    ['run[12].csv', 'run3.csv', false],
    ['run[!12].csv', 'run3.csv', true],
    ['*', '.hidden', true],
    ['a**b.csv', 'axxb.csv', true],
    ['A.csv', 'a.csv', false],
    ['./a/*.csv', 'a/b.csv', true],
    ['(a|b).csv', 'a.csv', false],
    ['(a|b).csv', '(a|b).csv', true],
    ['a+.csv', 'aa.csv', false],
    ['a+.csv', 'a+.csv', true],
    ['@(a).csv', 'a.csv', false],
    ['!a.csv', 'b.csv', false],
    ['a{b.csv', 'a{b.csv', true],
    ['a{b}.csv', 'a{b}.csv', true],
    ['ä/*.csv', 'ä/b.csv', true],
  ])('%s on %s: %s', (pattern, path, expected) => {
    expect(checkGlob(pattern)).toBeUndefined();
    expect(matchesGlob(pattern, path)).toBe(expected);
  });

  it('agrees with a slow matcher that is plainly right', () => {
    const name = fc.stringMatching(/^[ab.]{0,3}[ab]$/);
    const part = fc.oneof(
      fc.stringMatching(/^[ab.*?]{1,5}$/).filter((one) => (one.match(/\*/g) ?? []).length <= 3),
      fc.constant('**'),
    );
    const join = (parts: readonly string[]) => parts.join('/');
    fc.assert(
      fc.property(
        fc.array(part, { minLength: 1, maxLength: 4 }).map(join),
        fc.array(name, { minLength: 1, maxLength: 4 }).map(join),
        (pattern, path) => {
          fc.pre(!/(^|\/)\.{1,2}(\/|$)/.test(pattern) && !pattern.startsWith('/'));
          const expected = plainMatch(pattern.split('/'), path.split('/'));
          expect(matchesGlob(pattern, path), `${pattern} on ${path}`).toBe(expected);
        },
      ),
      { seed: 11, numRuns: RUNS },
    );
  });
});

/** Tries everything, without any regular expression. */
function plainMatch(pattern: readonly string[], path: readonly string[]): boolean {
  const [part, ...rest] = pattern;
  if (part === undefined) return path.length === 0;
  if (part === '**') return plainMatch(rest, path) || (path.length > 0 && plainMatch(pattern, path.slice(1)));
  return path.length > 0 && plainName(part, path[0]!) && plainMatch(rest, path.slice(1));
}

function plainName(pattern: string, name: string): boolean {
  if (pattern === '') return name === '';
  if (pattern[0] === '*')
    return plainName(pattern.slice(1), name) || (name !== '' && plainName(pattern, name.slice(1)));
  return name !== '' && (pattern[0] === '?' || pattern[0] === name[0]) && plainName(pattern.slice(1), name.slice(1));
}

describe('hostile patterns', () => {
  it.each([
    ['too long', 'a'.repeat(GLOB_LIMITS.characters + 1), /256 characters/],
    ['too many stars', `${'*a'.repeat(20)}b`, /3 stars/],
    ['a bomb of braces', '{a,b}'.repeat(12), /alternatives/],
    ['nested braces', `${'{a,'.repeat(20)}b${'}'.repeat(20)}`, /alternatives|braces/],
    ['too many folders', '*/'.repeat(40), /32 folders/],
    ['a pattern out of the repository', '../**', /leads out/],
    ['an absolute pattern', '/etc/*', /leads out/],
    ['a drive', 'C:/**', /leads out/],
    ['a backslash', 'a\\*', /backslash/],
    ['nothing', '  ', /empty/],
    ['a control character', 'a\u0000b', /control character/],
  ])('%s is refused and matches nothing', (_, pattern, words) => {
    const fault = checkGlob(pattern);
    expect(fault?.problem).toMatch(words);
    expect(fault?.remedy.length).toBeGreaterThan(10);
    expect(matchesGlob(pattern, 'etc/passwd')).toBe(false);
  });

  it('whatever the limits allow ends: the slowest shapes on the longest path', () => {
    const slow = [
      '*a*a*a',
      '**/*a*a*b/**',
      `${'**/*a*'.repeat(4)}/x`,
      '[a]*[a]*[a]*b',
      '{*a*a,*b*b}/**/{*c*,*d*}',
      '(a+)+$',
      '?'.repeat(200),
    ];
    const path = `${'a'.repeat(250)}/`.repeat(4).slice(0, GLOB_LIMITS.pathCharacters);
    for (const pattern of slow) expect(matchesGlob(pattern, path)).toBe(false);
    expect(matchesGlob('**', `${'a/'.repeat(2000)}b`)).toBe(false);
  });
});
