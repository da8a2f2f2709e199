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
    return path === '' ? this.uri : `${this.uri}/${path.split('/').map(encodeURIComponent).join('/')}`;
  }

  get key(): string {
    return this.#prefix;
  }
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
