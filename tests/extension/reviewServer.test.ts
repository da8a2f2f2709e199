import { beforeEach, describe, expect, it, vi } from 'vitest';
import { ReviewServer } from '../../extension/reviewServer';

interface Folder {
  readonly uri: { readonly scheme: string };
}
/** What of the editor is asked: the open folders, and when more come. */
const editor = vi.hoisted(() => ({
  folders: [] as Folder[],
  foldersChanged: new Set<(event: { readonly added: readonly Folder[] }) => void>(),
}));
vi.mock('vscode', () => ({
  EventEmitter: class {
    event = () => ({ dispose: () => undefined });
    fire() {
      // nobody listens
    }
    dispose() {
      // nothing is held
    }
  },
  Uri: { joinPath: () => 'memfs:/rules' },
  workspace: {
    isTrusted: false,
    get workspaceFolders() {
      return editor.folders;
    },
    createFileSystemWatcher: () => ({}),
    onDidChangeWorkspaceFolders: (listener: (event: { readonly added: readonly Folder[] }) => void) => {
      editor.foldersChanged.add(listener);
      return { dispose: () => editor.foldersChanged.delete(listener) };
    },
  },
}));

const folder = (scheme: string): Folder => ({ uri: { scheme } });
const add = (...added: Folder[]): void => {
  editor.folders = [...editor.folders, ...added];
  for (const listener of editor.foldersChanged) listener({ added });
};

/** The schemes that each client was made for, in order. */
let made: string[][] = [];
let disposed = 0;
let server: ReviewServer;
beforeEach(() => {
  made = [];
  disposed = 0;
  editor.folders = [folder('file')];
  editor.foldersChanged.clear();
  type Parameters = ConstructorParameters<typeof ReviewServer>;
  const makeClient: Parameters[1] = (options) => {
    const selector = options.documentSelector as readonly { readonly scheme: string }[];
    made.push(selector.map(({ scheme }) => scheme));
    const client = {
      onNotification: () => undefined,
      start: () => Promise.resolve(),
      dispose: () => Promise.resolve((disposed += 1)),
    };
    return Promise.resolve(client as unknown as Awaited<ReturnType<Parameters[1]>>);
  };
  server = new ReviewServer({} as Parameters[0], makeClient, {} as Parameters[2]);
});

describe('a folder that is added', () => {
  it('starts the server again where its kind of file system is new, so that its texts count while they are typed', async () => {
    await server.start();
    add(folder('memfs'));
    await expect.poll(() => made).toEqual([['file'], ['file', 'memfs']]);
    expect(disposed).toBe(1);
  });

  it('leaves the server running otherwise, and unstarted where nothing asked for it', async () => {
    add(folder('memfs'));
    await server.start();
    add(folder('memfs'), folder('file'));
    await new Promise((resolve) => setTimeout(resolve, 5));
    expect(made).toEqual([['file', 'memfs']]);
    await server.dispose();
    expect(editor.foldersChanged.size).toBe(0);
  });
});
