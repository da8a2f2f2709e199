/**
 * A folder as a URI, and the paths below it. Editors write one address in several ways (`c%3A` or `C:`, `%28` or `(`), so addresses are
 * compared decoded.
 */
export class FolderUri {
  /** Without a slash at its end. */
  readonly uri: string;
  readonly #prefix: string;

  constructor(uri: string) {
    this.uri = uri.replace(/\/+$/, '');
    this.#prefix = `${comparableUri(this.uri)}/`;
  }

  /** Path below the folder with forward slashes, '' for the folder itself; undefined for what lies elsewhere. */
  pathOf(uri: string): string | undefined {
    const comparable = comparableUri(uri.replace(/\/+$/, ''));
    if (`${comparable}/` === this.#prefix) return '';
    return comparable.startsWith(this.#prefix) ? comparable.slice(this.#prefix.length) : undefined;
  }

  uriOf(path: string): string {
    if (path === '') return ROOT.exec(this.uri)?.[0] === this.uri ? `${this.uri}/` : this.uri;
    return `${this.uri}/${path.split('/').map(encodeURIComponent).join('/')}`;
  }

  get key(): string {
    return this.#prefix;
  }
}

/** The part of an address before its path. */
const ROOT = /^[a-z][a-z0-9+.-]*:(?:\/\/[^/]*)?/i;

/** The folders that a file lies in, the innermost first and the root of its file system last, each without a slash at its end. */
export function* foldersAround(file: string): Iterable<string> {
  const root = ROOT.exec(file)?.[0];
  if (root === undefined || file[root.length] !== '/') return; // such as a text that was never saved
  for (let at = parentUri(file); at.length > root.length; at = parentUri(at)) yield at;
  yield root;
}

/** Equal for addresses of the same file. */
export function comparableUri(uri: string): string {
  return decoded(uri.replace(/[?#].*$/, '')).replace(
    /^(file:\/\/\/)([A-Za-z]):/,
    (_, start: string, drive: string) => `${start}${drive.toLowerCase()}:`,
  );
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text; // a percent sign that stands for itself
  }
}

/** The folder that a file lies in. */
export function parentUri(uri: string): string {
  return uri.replace(/\/[^/]*$/, '');
}

/** The last name of an address, as people read it. */
export function nameOfUri(uri: string): string {
  return decoded(uri.slice(uri.lastIndexOf('/') + 1));
}
