import { beforeEach, describe, expect, it, vi } from 'vitest';
import { activate } from '../../extension/nodeMain';
import { serveFiles, type PackBytes } from '../../extension/virtualFiles';
import { FILE_REQUEST, type FileContent, type FileListing } from '../../src/protocol/requests';

type ServeFiles = Parameters<typeof serveFiles>;
type Answer = (params: { readonly uri: string; readonly limit?: number }) => Promise<unknown>;

/** What of the editor is asked: one open folder of a virtual file system. */
const editor = vi.hoisted(() => ({
  files: new Map<string, Uint8Array>(),
  makeClient: undefined as ((options: object) => Promise<unknown>) | undefined,
}));
vi.mock('../../extension/activateWith', () => ({
  activateWith: (_: unknown, make: typeof editor.makeClient) => {
    editor.makeClient = make;
  },
}));
vi.mock('vscode-languageclient/node', () => ({
  TransportKind: { ipc: 1 },
  LanguageClient: class {
    readonly answers = new Map<string, Answer>();
    onRequest(method: string, answer: Answer) {
      this.answers.set(method, answer);
      return { dispose: () => undefined };
    }
  },
}));
vi.mock('vscode', () => {
  interface Address {
    readonly path: string;
  }
  class FileSystemError extends Error {
    constructor(
      readonly code: string,
      path: string,
    ) {
      super(`${code} ${path}`);
    }
  }
  const bytesOf = ({ path }: Address): Uint8Array => {
    const bytes = editor.files.get(path);
    if (bytes === undefined) throw new FileSystemError('FileNotFound', path);
    return bytes;
  };
  const answer = <Value>(work: () => Value): Promise<Value> =>
    new Promise((resolve) => {
      resolve(work());
    });
  return {
    FileSystemError,
    FileType: { File: 1, Directory: 2, SymbolicLink: 64 },
    Uri: {
      parse: (text: string): Address => ({ path: text.slice(text.indexOf(':') + 1) }),
      joinPath: ({ path }: Address, name: string): Address => ({ path: `${path}/${name}` }),
    },
    workspace: {
      getWorkspaceFolder: ({ path }: Address) => (path.startsWith('/shop') ? {} : undefined),
      fs: {
        stat: (uri: Address) => answer(() => ({ size: bytesOf(uri).length, mtime: 5 })),
        readFile: (uri: Address) => answer(() => bytesOf(uri)),
        readDirectory: ({ path }: Address) =>
          answer(() => {
            const below = [...editor.files.keys()].filter((file) => file.startsWith(`${path}/`));
            const parts = below.map((file) => file.slice(path.length + 1).split('/'));
            return [...new Map(parts.map(([name, ...more]) => [name, more.length === 0 ? 1 : 2]))];
          }),
      },
    },
  };
});

/** A view in the middle of a larger memory, as hosts give. */
const BYTES = Uint8Array.of(9, 9, 1, 2, 255, 9).subarray(2, 5);

beforeEach(() => {
  editor.files.clear();
  editor.files.set('/shop/a/x.csv', BYTES);
  editor.files.set('/shop/.git/config', BYTES);
  editor.files.set('/shop/damper-review.yaml', Uint8Array.of());
  editor.files.set('/else/y.csv', BYTES);
});

function served(pack: PackBytes): ReadonlyMap<string, Answer> {
  const answers = new Map<string, Answer>();
  const client = {
    onRequest: (method: string, answer: Answer) => {
      answers.set(method, answer);
      return { dispose: () => undefined };
    },
  };
  serveFiles(client as unknown as ServeFiles[0], [], pack);
  return answers;
}

const asBytes: PackBytes = (bytes) => ({ kind: 'content', bytes });

describe('files of the open folders', () => {
  it('are listed with their facts, without the folders of git', async () => {
    const { files, problems } = (await served(asBytes).get(FILE_REQUEST.list)!({ uri: 'memfs:/shop' })) as FileListing;
    expect([...files].sort((a, b) => (a.path < b.path ? -1 : 1))).toEqual([
      { path: 'a/x.csv', size: 3, modified: 5 },
      { path: 'damper-review.yaml', size: 0, modified: 5 },
    ]);
    expect(problems).toEqual([]);
  });

  it('are refused where they are larger than wanted or absent', async () => {
    const read = served(asBytes).get(FILE_REQUEST.read)!;
    expect(await read({ uri: 'memfs:/shop/a/x.csv', limit: 3 })).toEqual({ kind: 'content', bytes: BYTES });
    expect(await read({ uri: 'memfs:/shop/a/x.csv', limit: 2 })).toMatchObject({ kind: 'refused', code: 'too-large' });
    expect(await read({ uri: 'memfs:/shop/no.csv', limit: 2 })).toMatchObject({ kind: 'refused', code: 'not-found' });
    expect(await served(asBytes).get(FILE_REQUEST.stat)!({ uri: 'memfs:/shop/no.csv' })).toBeNull();
  });

  it('are all that is given out', () => {
    for (const method of Object.values(FILE_REQUEST))
      expect(() => served(asBytes).get(method)!({ uri: 'memfs:/else/y.csv', limit: 9 })).toThrow(
        'memfs:/else/y.csv lies in none of the open folders.',
      );
  });
});

describe('the client on Node.js', () => {
  it('serves them to its server process as text that JSON carries', async () => {
    const context = { asAbsolutePath: (path: string) => `/extension/${path}`, subscriptions: [] };
    activate(context as unknown as Parameters<typeof activate>[0]);
    const client = (await editor.makeClient!({})) as { readonly answers: ReadonlyMap<string, Answer> };
    expect([...client.answers.keys()].sort()).toEqual(Object.values(FILE_REQUEST).sort());
    const read = await client.answers.get(FILE_REQUEST.read)!({ uri: 'memfs:/shop/a/x.csv', limit: 3 });
    expect(JSON.parse(JSON.stringify(read)) as FileContent).toEqual({ kind: 'content', base64: 'AQL/' });
  });
});
