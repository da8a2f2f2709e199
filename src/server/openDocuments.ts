import { TextDocuments, type Connection } from 'vscode-languageserver';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { comparableUri } from './folderUri';
import { linesBefore, type LineBefore } from './judgedLines';
import { linesOf, type Lines } from './lines';
import type { Repository } from './repository';
import type { Place, Workspace } from './workspace';

/** An unsaved log larger than this [characters] counts as it is stored: reading it belongs into the worker, not into every keystroke. */
const MOST_LOG_TEXT = 2 * 1024 * 1024;
/** Most bytes that a stored file is read back to see whether an opened document differs from it. */
const MOST_COMPARED = 4 * MOST_LOG_TEXT;
const TABLES_AND_YAML = /\.(?:result\.csv|refcurve\.csv|ya?ml|json)$/i;

export interface DocumentEvents {
  /** A document was opened or closed: marks that only open files have change without a review. */
  openedOrClosed(place: Place): void;
}

/** The documents that the editor has open. What they hold and the disk does not yet lies over the repository's files. */
export class OpenDocuments {
  readonly #documents = new TextDocuments(TextDocument);
  readonly #workspace: Workspace;
  readonly #events: DocumentEvents;
  readonly #byUri = new Map<string, TextDocument>();
  /** Documents whose text lies over the stored one. */
  readonly #overlaid = new Set<string>();
  /** What each document held at the last review that was told. */
  readonly #judged = new Map<string, string>();

  constructor(connection: Connection, workspace: Workspace, events: DocumentEvents) {
    this.#workspace = workspace;
    this.#events = events;
    this.#documents.onDidOpen(({ document }) => void this.#opened(document));
    this.#documents.onDidChangeContent(({ document }) => {
      if (document.version !== this.#openedVersion(document)) this.#changed(document);
    });
    this.#documents.onDidSave(({ document }) => {
      this.#dropOverlay(document.uri, true);
    });
    this.#documents.onDidClose(({ document }) => {
      this.#closed(document);
    });
    this.#documents.listen(connection);
  }

  at(uri: string): TextDocument | undefined {
    return this.#byUri.get(comparableUri(uri));
  }

  linesAt(uri: string): Lines | undefined {
    const text = this.at(uri)?.getText();
    return text === undefined ? undefined : linesOf(text);
  }

  /** Takes note of the texts that a settled review has judged. */
  reviewed(repository: Repository): void {
    for (const [key, document] of this.#byUri) {
      const place = this.#workspace.knownPlaceOf(document.uri);
      if (place?.repository === repository && !isTooLarge(place.path, document))
        this.#judged.set(key, document.getText());
    }
  }

  /** From the lines of a file to those that its result was judged from: what is typed is shown beside what was told last. */
  judgedLines(uri: string, lines: Lines): LineBefore {
    const key = comparableUri(uri);
    const judged = this.#judged.get(key);
    if (judged !== undefined) return linesBefore(linesOf(judged), lines);
    return this.#overlaid.has(key) ? () => undefined : (line) => line;
  }

  /** Lays unsaved texts over the files of a repository that has just become known. */
  all(): readonly TextDocument[] {
    return [...this.#byUri.values()];
  }

  readonly #versions = new WeakMap<TextDocument, number>();
  #openedVersion(document: TextDocument): number | undefined {
    return this.#versions.get(document);
  }

  async #opened(document: TextDocument): Promise<void> {
    this.#byUri.set(comparableUri(document.uri), document);
    this.#versions.set(document, document.version);
    const place = await this.#workspace.placeOf(document.uri);
    if (place === undefined || this.at(document.uri) !== document) return;
    this.#events.openedOrClosed(place);
    const { version } = document;
    if (isTooLarge(place.path, document)) return;
    const stored = await place.repository.storedText(place.path, MOST_COMPARED);
    // An edit that came meanwhile has laid its own text.
    if (this.at(document.uri) !== document || document.version !== version) return;
    if (stored === undefined || !sameText(stored, document.getText())) this.#lay(place, document);
    else this.#judged.set(comparableUri(document.uri), document.getText());
  }

  #changed(document: TextDocument): void {
    const place = this.#workspace.knownPlaceOf(document.uri);
    if (place !== undefined && !isTooLarge(place.path, document)) this.#lay(place, document);
  }

  #closed(document: TextDocument): void {
    this.#byUri.delete(comparableUri(document.uri));
    this.#judged.delete(comparableUri(document.uri));
    this.#dropOverlay(document.uri, false);
    const place = this.#workspace.knownPlaceOf(document.uri);
    if (place !== undefined) this.#events.openedOrClosed(place);
  }

  #lay({ repository, path }: Place, document: TextDocument): void {
    this.#overlaid.add(comparableUri(document.uri));
    repository.overlay(path, document.getText());
  }

  #dropOverlay(uri: string, saved: boolean): void {
    const place = this.#workspace.knownPlaceOf(uri);
    const had = this.#overlaid.delete(comparableUri(uri));
    if (place === undefined) return;
    if (had) place.repository.overlay(place.path, undefined);
    if (saved) place.repository.invalidate([place.path]);
  }
}

function isTooLarge(path: string, document: TextDocument): boolean {
  return !TABLES_AND_YAML.test(path) && document.offsetAt({ line: document.lineCount, character: 0 }) > MOST_LOG_TEXT;
}

/** A byte order mark and the kind of line ends belong to the file, not to its text. */
function sameText(a: string, b: string): boolean {
  const plain = (text: string): string => text.replace(/^\uFEFF/, '').replaceAll('\r\n', '\n');
  return plain(a) === plain(b);
}
