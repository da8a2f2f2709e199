import type { RepositoryFiles } from '../ports/repositoryFiles';

/** A repository's files without those of folders that stand for themselves. @param folders paths of such folders, asked at each use */
export function filesOutside(files: RepositoryFiles, folders: () => readonly string[]): RepositoryFiles {
  const isOutside = (path: string): boolean => folders().every((folder) => !path.startsWith(`${folder}/`));
  return {
    list: async (under, signal) => {
      const listed = await files.list(under, signal);
      if (folders().length === 0) return listed;
      return {
        files: listed.files.filter(({ path }) => isOutside(path)),
        problems: listed.problems.filter(({ path }) => isOutside(path)),
      };
    },
    stat: async (path) => (isOutside(path) ? files.stat(path) : undefined),
    read: (path, limit) => files.read(path, limit),
    readNow: (entry) => files.readNow?.(entry),
    open: (path, signal) => files.open(path, signal),
  };
}
