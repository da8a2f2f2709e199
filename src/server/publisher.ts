import type { Connection, Diagnostic } from 'vscode-languageserver';
import { diagnosticsOf } from './features/diagnostics';
import { comparableUri } from './folderUri';
import type { OpenDocuments } from './openDocuments';
import type { Repository } from './repository';

/** Pushes diagnostics of open and closed files, each file's only where they changed. */
export class DiagnosticPublisher {
  readonly #connection: Connection;
  readonly #rulePages: string | undefined;
  /** What the client shows, by address. */
  readonly #shown = new Map<string, { readonly uri: string; readonly text: string; readonly repository: Repository }>();

  constructor(connection: Connection, rulePages: string | undefined) {
    this.#connection = connection;
    this.#rulePages = rulePages;
  }

  publish(repository: Repository, files: readonly string[], documents: OpenDocuments): void {
    for (const path of files) {
      const address = repository.folder.uriOf(path);
      const document = documents.at(address);
      const uri = document?.uri ?? address;
      const diagnostics = diagnosticsOf({
        uri,
        findings: repository.findingsOf(path),
        result: repository.resultOf(path),
        lines: document === undefined ? undefined : documents.linesAt(address),
        rulePages: this.#rulePages,
      });
      this.#send(uri, repository, diagnostics);
    }
  }

  /** Takes back everything said of a repository that is no longer under review. */
  clear(repository: Repository): void {
    for (const shown of [...this.#shown.values()])
      if (shown.repository === repository) this.#send(shown.uri, repository, []);
  }

  #send(uri: string, repository: Repository, diagnostics: readonly Diagnostic[]): void {
    const key = comparableUri(uri);
    const text = JSON.stringify(diagnostics);
    const before = this.#shown.get(key);
    if ((before?.text ?? '[]') === text) return;
    if (diagnostics.length === 0) this.#shown.delete(key);
    else this.#shown.set(key, { uri, text, repository });
    void this.#connection.sendDiagnostics({ uri, diagnostics: [...diagnostics] });
  }
}
