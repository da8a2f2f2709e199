import { posix, win32 } from 'node:path';
import { FilePortError } from '../../ports/repositoryFiles';

/** How the machine spells paths. Passed in, so that both spellings are tested on every machine. */
export type PathFlavour = 'posix' | 'win32';
export const HOST_FLAVOUR: PathFlavour = process.platform === 'win32' ? 'win32' : 'posix';

/** Names that Windows takes for devices, with any ending. */
const DEVICE = /^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)(\.|$)/iu;

/**
 * Refuses a repository path that could name anything but a file below the root: absolute, climbing, empty parts, NUL, and
 * on Windows what that system would read as a drive, a stream, a device or a name without its trailing dots and spaces.
 * @throws FilePortError `outside`
 */
export function assertRepositoryPath(path: string, flavour: PathFlavour): void {
  const refuse = (why: string): never => {
    throw new FilePortError('outside', path, why);
  };
  if (flavour === 'posix' && isPlainPath(path)) return;
  if (path.includes('\0')) refuse('holds a NUL character');
  if (path.startsWith('/')) refuse('is absolute; give it relative to the repository');
  for (const part of path.split('/')) {
    if (part === '' || part === '.') refuse('has an empty part');
    if (part === '..') refuse('climbs with "..", which could leave the repository');
    if (flavour === 'win32') refuseOnWindows(part, refuse);
  }
}

/** Nothing in it that a joined path would leave out, climb by or end at. Most paths, and told without taking them apart. */
export function isPlainPath(path: string): boolean {
  const framed = `/${path}/`;
  return !framed.includes('//') && !framed.includes('/./') && !framed.includes('/../') && !framed.includes('\0');
}

function refuseOnWindows(part: string, refuse: (why: string) => never): void {
  if (part.includes('\\')) refuse('holds a backslash; use forward slashes');
  if (part.includes(':')) refuse('holds a colon, which names a drive or a stream on Windows');
  if (/[. ]$/u.test(part)) refuse('has a part that ends in a dot or a space, which Windows drops');
  if (DEVICE.test(part)) refuse('names a device of Windows');
}

/**
 * The repository path of a native path, '' for the root itself, undefined where it lies outside.
 * Both must be absolute and, to see through links, resolved. Windows compares without regard to case.
 */
export function repositoryPathOf(root: string, native: string, flavour: PathFlavour): string | undefined {
  if (flavour === 'posix' && native.startsWith(root) && native[root.length] === '/') {
    const inside = native.slice(root.length + 1);
    if (isPlainPath(inside)) return inside;
  }
  const paths = flavour === 'win32' ? win32 : posix;
  const relative = paths.relative(root, native);
  if (relative === '') return '';
  if (paths.isAbsolute(relative)) return undefined;
  const parts = relative.split(paths.sep);
  return parts[0] === '..' ? undefined : parts.join('/');
}

/** The native path of a repository path. */
export function nativePathOf(root: string, path: string, flavour: PathFlavour): string {
  if (flavour === 'posix' && isPlainPath(path) && !root.endsWith('/')) return `${root}/${path}`;
  const paths = flavour === 'win32' ? win32 : posix;
  return path === '' ? root : paths.join(root, ...path.split('/'));
}

/** As `nativePathOf`, of a path that a walk met, which needs no second look: thousands of them took 3 ms. */
export function nativePathOfMet(root: string, path: string, flavour: PathFlavour): string {
  if (flavour === 'win32') return nativePathOf(root, path, flavour);
  return path === '' ? root : root.endsWith('/') ? root + path : `${root}/${path}`;
}
