/* global require, exports, TextDecoder, atob */
const vscode = require('vscode');

/** Files that exist nowhere but in this worker: what a virtual file system is to the editor. */
class MemoryFiles {
  #files = new Map();
  #changed = new vscode.EventEmitter();
  onDidChangeFile = this.#changed.event;

  constructor(contents) {
    for (const [path, base64] of Object.entries(contents))
      this.#files.set(path, {
        bytes: Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0)),
        mtime: 1_750_000_000_000,
      });
  }

  watch() {
    return new vscode.Disposable(() => undefined); // every change is told
  }

  stat({ path }) {
    const file = this.#files.get(path);
    if (file !== undefined) return { type: vscode.FileType.File, ctime: 0, mtime: file.mtime, size: file.bytes.length };
    if (this.#namesIn(path).size > 0) return { type: vscode.FileType.Directory, ctime: 0, mtime: 0, size: 0 };
    throw vscode.FileSystemError.FileNotFound(path);
  }

  readDirectory({ path }) {
    return [...this.#namesIn(path)].map(([name, isFile]) => [
      name,
      isFile ? vscode.FileType.File : vscode.FileType.Directory,
    ]);
  }

  #namesIn(folder) {
    const start = folder.endsWith('/') ? folder : `${folder}/`;
    const names = new Map();
    for (const path of this.#files.keys())
      if (path.startsWith(start)) {
        const [name, ...below] = path.slice(start.length).split('/');
        names.set(name, below.length === 0);
      }
    return names;
  }

  readFile({ path }) {
    const file = this.#files.get(path);
    if (file === undefined) throw vscode.FileSystemError.FileNotFound(path);
    return file.bytes;
  }

  writeFile(uri, bytes) {
    const isNew = !this.#files.has(uri.path);
    this.#files.set(uri.path, { bytes, mtime: Date.now() });
    const { Created, Changed } = vscode.FileChangeType;
    this.#changed.fire([{ type: isNew ? Created : Changed, uri }]);
  }

  delete(uri) {
    this.#files.delete(uri.path);
    this.#changed.fire([{ type: vscode.FileChangeType.Deleted, uri }]);
  }

  createDirectory() {
    // there as soon as a file lies in it
  }

  rename() {
    throw vscode.FileSystemError.NoPermissions('Nothing is renamed here.');
  }
}

exports.activate = async (context) => {
  const listing = await vscode.workspace.fs.readFile(vscode.Uri.joinPath(context.extensionUri, 'files.json'));
  const files = new MemoryFiles(JSON.parse(new TextDecoder().decode(listing)));
  context.subscriptions.push(vscode.workspace.registerFileSystemProvider('memfs', files, { isCaseSensitive: true }));
};
