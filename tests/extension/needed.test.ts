import { beforeEach, describe, expect, it, vi } from 'vitest';
import { whenNeeded } from '../../extension/needed';

/** What of the editor is looked at: open texts, folders, and whether a file is there. */
interface Address {
  readonly scheme: string;
  readonly path: string;
}
interface Listener<Event> {
  (event: Event): void;
}
const editor = vi.hoisted(() => ({
  documents: [] as { uri: Address }[],
  folders: [] as { uri: Address }[],
  files: new Set<string>(),
  opened: new Set<Listener<{ uri: Address }>>(),
  foldersChanged: new Set<Listener<{ added: readonly { uri: Address }[] }>>(),
}));
vi.mock('vscode', () => {
  const event =
    <Event>(listeners: Set<Listener<Event>>) =>
    (listener: Listener<Event>) => {
      listeners.add(listener);
      return { dispose: () => listeners.delete(listener) };
    };
  return {
    Uri: { joinPath: ({ scheme, path }: Address, name: string) => ({ scheme, path: `${path}/${name}` }) },
    workspace: {
      get textDocuments() {
        return editor.documents;
      },
      get workspaceFolders() {
        return editor.folders.length === 0 ? undefined : editor.folders;
      },
      fs: {
        stat: ({ path }: Address) => (editor.files.has(path) ? Promise.resolve({}) : Promise.reject(new Error(path))),
      },
      onDidOpenTextDocument: event(editor.opened),
      onDidChangeWorkspaceFolders: event(editor.foldersChanged),
    },
  };
});

const at = (path: string, scheme = 'file'): { uri: Address } => ({ uri: { scheme, path } });
const open = (path: string, scheme?: string): void => {
  for (const listener of [...editor.opened]) listener(at(path, scheme));
};
const add = (...paths: string[]): void => {
  for (const listener of [...editor.foldersChanged]) listener({ added: paths.map((path) => at(path)) });
};
/** Lets every look at a file system come back. */
const looked = (): Promise<unknown> => new Promise((resolve) => setTimeout(resolve));

let started = 0;
const wait = (): void => {
  whenNeeded(() => {
    started += 1;
  }, []);
};

beforeEach(() => {
  editor.documents = [];
  editor.folders = [];
  editor.files.clear();
  editor.opened.clear();
  editor.foldersChanged.clear();
  started = 0;
});

describe('the client', () => {
  it('starts nothing where there is neither a folder nor a file of ours', async () => {
    editor.documents = [at('/w/table.csv'), at('/w/notes.yaml')];
    editor.folders = [at('/w')];
    wait();
    await looked();
    expect(started).toBe(0);
  });

  it.each([
    '/w/a.result.csv',
    '/w/a.refcurve.csv',
    '/w/a.damper.yaml',
    '/w/a.damper.yml',
    '/w/a.corner.yaml',
    '/w/a.testlog.tsv.gz',
    '/w/a.dutylog.csv',
    '/w/damper-review.yaml',
  ])('starts at once where %s is open', (path) => {
    editor.documents = [at('/w/table.csv'), at(path)];
    wait();
    expect(started).toBe(1);
  });

  it('starts where a folder has the marker at its root, the first one or another', async () => {
    editor.folders = [at('/other'), at('/w')];
    editor.files.add('/w/damper-review.yaml');
    wait();
    await looked();
    expect(started).toBe(1);
  });

  it('starts where a file of ours is opened later, and not where another is', () => {
    wait();
    open('/w/table.csv');
    open('/w/not-damper-review.yaml');
    expect(started).toBe(0);
    open('/w/a.result.csv');
    expect(started).toBe(1);
  });

  it('starts where a folder with the marker is added later', async () => {
    wait();
    add('/plain');
    await looked();
    expect(started).toBe(0);
    editor.files.add('/w/damper-review.yaml');
    add('/w');
    await looked();
    expect(started).toBe(1);
  });

  it('is not woken by an old side that a comparison of git shows', () => {
    wait();
    open('/w/a.result.csv', 'git');
    expect(started).toBe(0);
  });

  it('starts once, whatever comes then, and listens no longer', async () => {
    editor.documents = [at('/w/a.result.csv'), at('/w/b.result.csv')];
    editor.folders = [at('/w')];
    editor.files.add('/w/damper-review.yaml');
    wait();
    open('/w/c.result.csv');
    await looked();
    expect(started).toBe(1);
    expect([editor.opened.size, editor.foldersChanged.size]).toEqual([0, 0]);
  });
});
