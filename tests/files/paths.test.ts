import { describe, expect, it } from 'vitest';
import { folderOf, nameOf, repositoryPath } from '../../src/files/paths';

describe('repositoryPath', () => {
  it.each([
    ['a.csv', '', 'a.csv'],
    ['a.csv', 'specs', 'specs/a.csv'],
    ['./a//b.csv', 'specs', 'specs/a/b.csv'],
    ['../refs/a.csv', 'specs', 'refs/a.csv'],
    ['../../a.csv', 'x/y', 'a.csv'],
    ['a b/ä.csv', '', 'a b/ä.csv'],
    ['..a/b...c', '', '..a/b...c'],
    ['dampers/F-1/build-1/run_1.testlog.csv.gz', '', 'dampers/F-1/build-1/run_1.testlog.csv.gz'],
    ['concrete/com12/nullify.csv', '', 'concrete/com12/nullify.csv'],
    ['a/b.csv', 'x/y', 'x/y/a/b.csv'],
  ])('%s seen from %j is %s', (text, base, path) => {
    expect(repositoryPath(text, base)).toEqual({ path });
  });

  it.each([
    ['../a.csv', '', /leads out/],
    ['a/../../b.csv', '', /leads out/],
    ['../../a.csv', 'specs', /leads out/],
    ['/etc/passwd', '', /absolute/],
    ['//server/share/a', '', /absolute/],
    ['\\\\server\\share', '', /backslash/],
    ['a\\b', '', /backslash/],
    ['C:/a.csv', '', /drive/],
    ['c:a.csv', '', /drive/],
    ['https://example.test/a.csv', '', /address/],
    ['a.csv:stream', '', /colon/],
    ['a\u0000.csv', '', /control character/],
    ['a\nb', '', /control character/],
    ['CON', '', /every system/],
    ['x/aux.csv', '', /every system/],
    ['x/Nul/b.csv', '', /every system/],
    ['x/com1.a.b/c', '', /every system/],
    ['lpt9/a.csv', '', /every system/],
    ['x/b.', '', /every system/],
    ['x./a.csv', '', /every system/],
    ['a.csv ', '', /every system/],
    ['..', 'specs', /names no file/],
    ['.', '', /names no file/],
    ['', '', /empty/],
    ['a'.repeat(1025), '', /longer/],
  ])('%j from %j is refused', (text, base, words) => {
    const result = repositoryPath(text, base);
    expect('problem' in result ? result.problem : result.path).toMatch(words);
    expect('remedy' in result && result.remedy.length).toBeGreaterThan(5);
  });

  it('parts of a path', () => {
    expect([folderOf('a/b/c.csv'), folderOf('c.csv'), nameOf('a/b/c.csv'), nameOf('c.csv')]).toEqual([
      'a/b',
      '',
      'c.csv',
      'c.csv',
    ]);
  });
});
