import type * as NodeFs from 'node:fs';
import { renameSync, symlinkSync, unlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { FilePortError } from '../../src/ports/repositoryFiles';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import { collect, temporaryFolder } from './temporaryFolder';

/** What another program does right before and right after the file is opened, and whether Linux's /proc is there. */
const other = vi.hoisted(() => ({
  before: (): void => undefined,
  after: (): void => undefined,
  opened: 0,
  proc: true,
}));

vi.mock('node:fs', async (original) => {
  const real = await original<typeof NodeFs>();
  return {
    ...real,
    openSync: (...args: Parameters<typeof real.openSync>) => {
      other.before();
      const handle = real.openSync(...args);
      other.opened += 1;
      other.after();
      return handle;
    },
    readlinkSync: (path: string) => {
      if (path.startsWith('/proc/') && !other.proc) throw new Error('no /proc here');
      return real.readlinkSync(path);
    },
  };
});

afterEach(() => {
  other.before = other.after = () => undefined;
  other.opened = 0;
  other.proc = true;
});

const WAYS = ['read', 'open'] as const;

/** The content, or the code of the port's error. */
async function told(files: NodeRepositoryFiles, way: (typeof WAYS)[number], path: string): Promise<string> {
  try {
    return new TextDecoder().decode(await (way === 'read' ? files.read(path) : collect(files.open(path))));
  } catch (error) {
    return error instanceof FilePortError ? error.code : String(error);
  }
}

/** A repository with a/b/file.csv, and a folder outside that has the same names. */
function places() {
  const outside = temporaryFolder({ 'file.csv': 'secret', 'b/file.csv': 'secret' });
  const root = temporaryFolder({ 'a/b/file.csv': 'ours', 'a/b/next.csv': 'next' });
  return { outside, root, files: new NodeRepositoryFiles(root) };
}

describe.each([
  ['with /proc', true],
  ['without /proc', false],
])('what is swapped while it is opened, %s', (_, proc) => {
  describe.each(WAYS)('by %s', (way) => {
    it.each(['a', 'a/b'])('as folder %s for a link that leads out is not read', async (folder) => {
      const { outside, root, files } = places();
      other.proc = proc;
      other.before = () => {
        renameSync(join(root, folder), join(root, 'aside'));
        symlinkSync(outside, join(root, folder));
      };
      expect(await told(files, way, 'a/b/file.csv')).toBe('outside');
      expect(other.opened).toBe(1); // the secret was opened, then, and left unread
    });

    it.each(['a', 'a/b'])('as folder %s, and back again, is not read', async (folder) => {
      const { outside, root, files } = places();
      other.proc = proc;
      other.before = () => {
        renameSync(join(root, folder), join(root, 'aside'));
        symlinkSync(outside, join(root, folder));
      };
      other.after = () => {
        unlinkSync(join(root, folder));
        renameSync(join(root, 'aside'), join(root, folder));
      };
      expect(await told(files, way, 'a/b/file.csv')).toBe('io');
      expect(other.opened).toBe(1);
    });

    it('as a link in place of the file is not opened', async () => {
      const { outside, root, files } = places();
      other.proc = proc;
      other.before = () => {
        unlinkSync(join(root, 'a/b/file.csv'));
        symlinkSync(join(outside, 'file.csv'), join(root, 'a/b/file.csv'));
      };
      expect(await told(files, way, 'a/b/file.csv')).toBe('link-loop');
      expect(other.opened).toBe(0);
    });

    it('is read where another file of the repository came into its place before, and refused where one came after', async () => {
      const { root, files } = places();
      other.proc = proc;
      const replace = () => {
        renameSync(join(root, 'a/b/next.csv'), join(root, 'a/b/file.csv'));
      };
      other.before = replace;
      expect(await told(files, way, 'a/b/file.csv')).toBe('next');
      other.before = () => undefined;
      writeFileSync(join(root, 'a/b/next.csv'), 'later');
      other.after = replace;
      expect(await told(files, way, 'a/b/file.csv')).toBe('io');
      expect(await told(files, way, 'a/b/next.csv')).toBe('not-found');
    });
  });
});

describe('what is swapped while it is opened as it was listed', () => {
  it.each(['a', 'a/b'])(
    'as folder %s for a link that leads out is not read, nor where it is swapped back',
    async (folder) => {
      for (const isBack of [false, true]) {
        const { outside, root, files } = places();
        const entry = (await files.list('')).files.find(({ path }) => path === 'a/b/file.csv')!;
        other.before = () => {
          renameSync(join(root, folder), join(root, 'aside'));
          symlinkSync(outside, join(root, folder));
        };
        other.after = () => {
          if (!isBack) return;
          unlinkSync(join(root, folder));
          renameSync(join(root, 'aside'), join(root, folder));
        };
        other.opened = 0;
        expect(files.readNow(entry)).toBeUndefined();
        expect(other.opened).toBe(1); // the secret was opened, then, and left unread
      }
    },
  );

  it('as a link in place of the file is not opened', async () => {
    const { outside, root, files } = places();
    const entry = (await files.list('')).files.find(({ path }) => path === 'a/b/file.csv')!;
    other.before = () => {
      unlinkSync(join(root, 'a/b/file.csv'));
      symlinkSync(join(outside, 'file.csv'), join(root, 'a/b/file.csv'));
    };
    expect(files.readNow(entry)).toBeUndefined();
    expect(other.opened).toBe(0);
  });
});
