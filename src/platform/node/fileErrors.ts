import { FilePortError, type FilePortCode } from '../../ports/repositoryFiles';

const CODES: Readonly<Record<string, readonly [FilePortCode, string]>> = {
  ENOENT: ['not-found', 'does not exist'],
  ENOTDIR: ['not-found', 'does not exist: a part of its path is a file'],
  ELOOP: ['link-loop', 'is a link that leads back to itself'],
  EISDIR: ['not-a-file', 'is a folder'],
  EACCES: ['denied', 'may not be opened: permission denied'],
  EPERM: ['denied', 'may not be opened: permission denied'],
  EROFS: ['denied', 'may not be written: the disk is read-only'],
  ENAMETOOLONG: ['not-found', 'has a longer name than this disk allows'],
  ENXIO: ['not-a-file', 'is not a plain file'],
  ENOSPC: ['io', 'could not be written: the disk is full'],
  EDQUOT: ['io', 'could not be written: the disk quota is used up'],
};

/** The operating system's code of an error, such as `ENOENT`. */
export function systemCode(error: unknown): string | undefined {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : undefined;
}

/** The port's error for an error of Node's file system; errors of the port pass through. */
export function asFilePortError(path: string, error: unknown): FilePortError {
  if (error instanceof FilePortError) return error;
  const system = systemCode(error);
  const known = system === undefined ? undefined : CODES[system];
  if (known !== undefined) return new FilePortError(known[0], path, known[1]);
  return new FilePortError('io', path, `could not be used: ${error instanceof Error ? error.message : String(error)}`);
}
