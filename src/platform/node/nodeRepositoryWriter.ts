import { constants } from 'node:fs';
import { access, chmod, lstat, open, realpath, rename, unlink } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { realpathSync } from 'node:fs';
import { FilePortError, type RepositoryWriter } from '../../ports/repositoryFiles';
import { asFilePortError, systemCode } from './fileErrors';
import { assertRepositoryPath, HOST_FLAVOUR, nativePathOf, repositoryPathOf } from './repositoryPath';
import { removeLeftovers, temporaryName } from './temporaryFile';

/** A new file of our own: never an existing one, never through a link. O_NOFOLLOW is absent on Windows. */
const CREATE_FLAGS =
  constants.O_WRONLY | constants.O_CREAT | constants.O_EXCL | ((constants.O_NOFOLLOW as number | undefined) ?? 0);
const ORDINARY_MODE = 0o666; // less what the user's umask takes off
/** On Windows another program may hold the target open for a moment. */
const RENAME_TRIES = 5;

/**
 * Writes files of the repository in full or not at all: the content goes to a hidden file in the same folder, is flushed
 * to the disk, and takes the target's name in one step. A kill at any point leaves the old content or the new one, at
 * worst beside a hidden file that nothing reads and the next write into the folder removes.
 */
export class NodeRepositoryWriter implements RepositoryWriter {
  readonly root: string;

  constructor(root: string) {
    this.root = realpathSync.native(root);
  }

  async writeAtomic(path: string, content: Uint8Array): Promise<void> {
    assertRepositoryPath(path, HOST_FLAVOUR);
    try {
      const target = nativePathOf(this.root, path, HOST_FLAVOUR);
      const folder = await this.#folderOf(target, path);
      const mode = await modeOfExisting(target, path);
      removeLeftovers(folder, Date.now());
      const temporary = join(folder, temporaryName());
      try {
        await writeThrough(temporary, content, mode);
        if ((await this.#folderOf(target, path)) !== folder) throw moved(path);
        await modeOfExisting(target, path); // a link may have taken the target's place meanwhile
        await renameOver(temporary, join(folder, target.slice(dirname(target).length + 1)));
      } catch (error) {
        await unlink(temporary).catch(() => undefined);
        throw error;
      }
      await flushFolder(folder);
    } catch (error) {
      throw asFilePortError(path, error);
    }
  }

  /** The real folder of a target. A link on the way is allowed as long as it stays inside the repository. */
  async #folderOf(target: string, path: string): Promise<string> {
    const folder = await realpath(dirname(target));
    if (repositoryPathOf(this.root, folder, HOST_FLAVOUR) === undefined) {
      throw new FilePortError('outside', path, 'lies behind a link that leaves the repository; nothing was written');
    }
    return folder;
  }
}

/** Permissions that the new file takes over; undefined where there is none yet. @throws FilePortError for anything but a writable plain file */
async function modeOfExisting(target: string, path: string): Promise<number | undefined> {
  try {
    const stats = await lstat(target);
    if (stats.isSymbolicLink())
      throw new FilePortError('outside', path, 'is a link; files are never written through links');
    if (!stats.isFile()) throw new FilePortError('not-a-file', path, 'is not a plain file');
    await access(target, constants.W_OK);
    return stats.mode & 0o777;
  } catch (error) {
    if (systemCode(error) === 'ENOENT') return undefined;
    throw error;
  }
}

async function writeThrough(temporary: string, content: Uint8Array, mode: number | undefined): Promise<void> {
  const handle = await open(temporary, CREATE_FLAGS, ORDINARY_MODE);
  try {
    await handle.writeFile(content);
    await handle.sync();
  } finally {
    await handle.close();
  }
  if (mode !== undefined) await chmod(temporary, mode);
}

async function renameOver(temporary: string, target: string): Promise<void> {
  for (let attempt = 1; ; attempt++) {
    try {
      await rename(temporary, target);
      return;
    } catch (error) {
      const held = HOST_FLAVOUR === 'win32' && ['EPERM', 'EACCES', 'EBUSY'].includes(systemCode(error) ?? '');
      if (!held || attempt === RENAME_TRIES) throw error;
      await new Promise((resolve) => setTimeout(resolve, 20 * attempt));
    }
  }
}

/** The new name itself must reach the disk. Windows cannot open folders and needs no such step. */
async function flushFolder(folder: string): Promise<void> {
  if (HOST_FLAVOUR === 'win32') return;
  try {
    const handle = await open(folder, constants.O_RDONLY);
    try {
      await handle.sync();
    } finally {
      await handle.close();
    }
  } catch {
    // Some network file systems refuse to flush folders; the file is in place all the same.
  }
}

function moved(path: string): FilePortError {
  return new FilePortError('io', path, 'has a folder that was moved while it was being written; nothing was written');
}
