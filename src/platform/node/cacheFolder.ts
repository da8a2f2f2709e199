import { posix, win32 } from 'node:path';

const PRODUCT = 'damper-spec-review';

/**
 * Where this platform keeps a user's caches: `$XDG_CACHE_HOME` or `~/.cache` (XDG Base Directory Specification 0.8;
 * a relative value is to be ignored), `~/Library/Caches` on macOS, `%LOCALAPPDATA%` on Windows.
 * @returns undefined where the user has no home
 */
export function userCacheFolder(
  platform: string,
  environment: Readonly<Record<string, string | undefined>>,
  home: string,
): string | undefined {
  if (platform === 'win32') {
    const local = environment['LOCALAPPDATA'];
    if (local !== undefined && win32.isAbsolute(local)) return win32.join(local, PRODUCT, 'Cache');
    return win32.isAbsolute(home) ? win32.join(home, 'AppData', 'Local', PRODUCT, 'Cache') : undefined;
  }
  const given = environment['XDG_CACHE_HOME'];
  if (platform !== 'darwin' && given !== undefined && posix.isAbsolute(given)) return posix.join(given, PRODUCT);
  if (!posix.isAbsolute(home)) return undefined;
  return platform === 'darwin' ? posix.join(home, 'Library', 'Caches', PRODUCT) : posix.join(home, '.cache', PRODUCT);
}
