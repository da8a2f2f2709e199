import { existsSync, realpathSync, statSync } from 'node:fs';
import { dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import { CommandFailure } from './failure';

export interface Located {
  /** Absolute path of the damper-spec repository. */
  readonly root: string;
  /** The asked paths relative to it, forward slashes, '' for the root itself. */
  readonly paths: readonly string[];
}

/**
 * Finds the repository that the paths belong to: the nearest folder at or above the first path with a `damper-review.yaml`,
 * else the git work tree around it, else that folder itself. Throws CommandFailure where a path does not exist or lies elsewhere.
 */
export function locateRepository(paths: readonly string[], workingFolder: string): Located {
  const absolute = paths.map((path) => {
    const full = isAbsolute(path) ? path : resolve(workingFolder, path);
    if (!existsSync(full)) throw new CommandFailure(`"${path}" does not exist. Name a folder, a result or a test log.`);
    return realpathSync(full);
  });
  const first = absolute[0] ?? realpathSync(workingFolder);
  const folder = statSync(first).isDirectory() ? first : dirname(first);
  const root = ancestorWith(folder, 'damper-review.yaml') ?? ancestorWith(folder, '.git') ?? folder;
  return {
    root,
    paths: absolute.map((full, index) => {
      const inside = relative(root, full);
      if (inside === '..' || inside.startsWith(`..${sep}`) || isAbsolute(inside))
        throw new CommandFailure(
          `"${paths[index] ?? ''}" lies outside the repository at ${root}. Check one repository at a time.`,
        );
      return inside.split(sep).join('/');
    }),
  };
}

/**
 * Where the damper-spec repository lies in its checkout, for hosts that name files from the checkout's root: '' where they are the same or no
 * git work tree is around it.
 */
export function folderInCheckout(root: string): string {
  const checkout = ancestorWith(root, '.git');
  return checkout === undefined ? '' : relative(checkout, root).split(sep).join('/');
}

function ancestorWith(folder: string, name: string): string | undefined {
  for (let at = folder; ; at = dirname(at)) {
    if (existsSync(join(at, name))) return at;
    if (dirname(at) === at) return undefined;
  }
}
