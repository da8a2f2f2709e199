import { describe, expect, it } from 'vitest';
import { FilePortError } from '../../src/ports/repositoryFiles';
import { assertRepositoryPath, nativePathOf, repositoryPathOf } from '../../src/platform/node/repositoryPath';

describe('paths of a repository', () => {
  it.each([
    'damper-review.yaml',
    'dampers/F-017/build-2/a b.result.csv',
    'Ä/ß.damper.yaml',
    'a..b/c.csv',
    '.hidden/x.csv',
    'con.d/x',
    'a:b.csv',
    'x./y',
  ])('takes %s where it is an ordinary name', (path) => {
    expect(() => {
      assertRepositoryPath(path, 'posix');
    }).not.toThrow();
  });

  it.each(['/etc/passwd', '../x', 'a/../../x', 'a/..', '', 'a//b', './a', 'a/./b', 'a\0b'])(
    'refuses %j everywhere',
    (path) => {
      for (const flavour of ['posix', 'win32'] as const) {
        expect(() => {
          assertRepositoryPath(path, flavour);
        }).toThrow(FilePortError);
      }
    },
  );

  // Names that Windows reads otherwise: "Naming Files, Paths, and Namespaces" of its documentation.
  it.each([
    'C:/x',
    'c:x',
    'a\\..\\..\\x',
    '\\\\server\\share',
    'x.csv:stream',
    'con',
    'a/NUL.csv',
    'Com1',
    'lpt9.txt',
    'CONIN$',
    'a./x',
    'a /x',
    'x.csv.',
  ])('refuses %s on Windows', (path) => {
    expect(() => {
      assertRepositoryPath(path, 'win32');
    }).toThrow(FilePortError);
  });

  it('finds what lies inside, on both kinds of machine', () => {
    expect(repositoryPathOf('/w/repo', '/w/repo', 'posix')).toBe('');
    expect(repositoryPathOf('/w/repo', '/w/repo/a/b.csv', 'posix')).toBe('a/b.csv');
    expect(repositoryPathOf('/w/repo', '/w/repo/..a', 'posix')).toBe('..a');
    expect(repositoryPathOf('/w/repo', '/w/repo2/a', 'posix')).toBeUndefined();
    expect(repositoryPathOf('/w/repo', '/w', 'posix')).toBeUndefined();
    expect(repositoryPathOf('/w/Repo', '/w/repo/a', 'posix')).toBeUndefined();
    expect(repositoryPathOf('C:\\w\\repo', 'C:\\w\\repo\\a\\b.csv', 'win32')).toBe('a/b.csv');
    expect(repositoryPathOf('C:\\w\\Repo', 'c:\\W\\repo\\A', 'win32')).toBe('A');
    expect(repositoryPathOf('C:\\w\\repo', 'D:\\w\\repo\\a', 'win32')).toBeUndefined();
    expect(repositoryPathOf('C:\\w\\repo', 'C:\\w\\repo2', 'win32')).toBeUndefined();
    expect(repositoryPathOf('\\\\server\\share\\repo', '\\\\server\\share\\repo\\a', 'win32')).toBe('a');
    expect(repositoryPathOf('\\\\server\\share\\repo', '\\\\server\\other\\repo\\a', 'win32')).toBeUndefined();
  });

  it('goes back to the native path', () => {
    expect(nativePathOf('/w/repo', 'a/b.csv', 'posix')).toBe('/w/repo/a/b.csv');
    expect(nativePathOf('C:\\w\\repo', 'a/b.csv', 'win32')).toBe('C:\\w\\repo\\a\\b.csv');
    expect(nativePathOf('/w/repo', '', 'posix')).toBe('/w/repo');
  });
});
