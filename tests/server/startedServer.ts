import { PassThrough } from 'node:stream';
import {
  createConnection,
  createProtocolConnection,
  StreamMessageReader,
  StreamMessageWriter,
  WorkDoneProgress,
  type Connection,
  type Diagnostic,
  type InitializeParams,
  type ProtocolConnection,
  type TextEdit,
  type WorkDoneProgressBegin,
  type WorkDoneProgressEnd,
  type WorkDoneProgressReport,
} from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { CHANGED, type Requests } from '../../src/protocol/requests';
import type { SessionPorts } from '../../src/session/sessionPorts';
import { browserPlatform } from '../../src/server/browserPlatform';
import { startServer } from '../../src/server/server';
import type { ServerPlatform } from '../../src/server/serverPlatform';
import { workshopFiles } from '../session/workshop';
import { answerFileRequests } from './clientFiles';
import { memoryPlatform } from './memoryPlatform';

export type ToldProgress = WorkDoneProgressBegin | WorkDoneProgressReport | WorkDoneProgressEnd;

export const ROOT = 'file:///w/shop';

export interface ServerSetup {
  /** Files of each repository by its address; the workshop at ROOT where absent. */
  readonly folders?: ReadonlyMap<string, MemoryFiles>;
  /** Folders that the editor has open; ROOT where absent. */
  readonly open?: readonly string[];
  readonly ports?: Partial<SessionPorts>;
  readonly quiet?: number;
  /** How long [ms] a review takes until it shows progress; longer than any test where absent. */
  readonly patience?: number;
  readonly platform?: ServerPlatform;
  /** Takes the place of `platform` where it asks the client. */
  readonly platformFor?: (connection: Connection) => ServerPlatform;
  /** The server of a browser's worker, which has its files from the client. */
  readonly browser?: boolean;
  readonly settings?: Readonly<Record<string, unknown>>;
  /** False for restricted mode. */
  readonly trusted?: boolean;
  /** Called while the first review is under way. */
  readonly onMade?: (server: StartedServer) => Promise<void>;
  /** What the client says that it can do beside what every client of these tests can. */
  readonly capabilities?: InitializeParams['capabilities'];
}

/** A language server on a pair of streams in memory, and the client at their other end: every message is a real one. */
export class StartedServer {
  readonly client: ProtocolConnection;
  readonly folders: ReadonlyMap<string, MemoryFiles>;
  /** Diagnostics by address, as a client shows them. */
  readonly shown = new Map<string, readonly Diagnostic[]>();
  /** How many settled states were published. */
  published = 0;
  /** Methods that the server registered for by itself. */
  readonly registered: string[] = [];
  /** Each question for settings. */
  readonly settingsAsked: unknown[] = [];
  /** Requests by which the server says that hints and lenses are other ones now. */
  readonly refreshed: string[] = [];
  /** What the server wrote into its log. */
  readonly logged: string[] = [];
  /** Progress that the server showed by itself: one list of messages for each time that it asked for a place. */
  readonly progress: { readonly token: string | number; readonly told: ToldProgress[] }[] = [];
  readonly #documents = new Map<string, TextDocument>();
  readonly #waiting: { readonly after: number; readonly resolve: () => void }[] = [];

  private constructor(setup: ServerSetup, folders: ReadonlyMap<string, MemoryFiles>) {
    const [up, down] = [new PassThrough(), new PassThrough()];
    this.folders = folders;
    const connection = createConnection(new StreamMessageReader(up), new StreamMessageWriter(down));
    const platform =
      setup.platformFor?.(connection) ??
      setup.platform ??
      (setup.browser === true ? browserPlatform(connection) : memoryPlatform(folders, setup.ports));
    startServer(connection, () => platform, { quiet: setup.quiet ?? 5, patience: setup.patience ?? 1e6 });
    connection.listen();
    this.client = createProtocolConnection(new StreamMessageReader(down), new StreamMessageWriter(up));
    this.client.onNotification('textDocument/publishDiagnostics', (set: { uri: string; diagnostics: Diagnostic[] }) => {
      this.shown.set(set.uri, set.diagnostics);
    });
    this.client.onNotification(CHANGED, () => {
      this.published += 1;
      for (const waiting of this.#waiting.splice(0))
        if (waiting.after < this.published) waiting.resolve();
        else this.#waiting.push(waiting);
    });
    this.client.onRequest('workspace/configuration', ({ items }: { items: readonly unknown[] }) => {
      this.settingsAsked.push(...items);
      return items.map(() => setup.settings ?? {});
    });
    this.client.onRequest('client/registerCapability', ({ registrations }: { registrations: { method: string }[] }) => {
      this.registered.push(...registrations.map(({ method }) => method));
      return null;
    });
    for (const method of ['workspace/inlayHint/refresh', 'workspace/codeLens/refresh'])
      this.client.onRequest(method, () => {
        this.refreshed.push(method);
        return null;
      });
    this.client.onRequest('window/workDoneProgress/create', ({ token }: { token: string | number }) => {
      const told: ToldProgress[] = [];
      this.progress.push({ token, told });
      this.client.onProgress(WorkDoneProgress.type, token, (message) => {
        told.push(message);
      });
      return null;
    });
    this.client.onNotification('window/logMessage', ({ message }: { message: string }) => {
      this.logged.push(message);
    });
    answerFileRequests(this.client, folders);
    this.client.listen();
  }

  static async start(setup: ServerSetup = {}): Promise<StartedServer> {
    const folders = setup.folders ?? new Map([[ROOT, new MemoryFiles(await workshopFiles())]]);
    const server = new StartedServer(setup, folders);
    const params: Omit<InitializeParams, 'rootUri'> = {
      processId: null,
      capabilities: {
        workspace: {
          configuration: true,
          workspaceFolders: true,
          didChangeConfiguration: { dynamicRegistration: true },
          inlayHint: { refreshSupport: true },
          codeLens: { refreshSupport: true },
        },
        window: { workDoneProgress: true },
        ...setup.capabilities,
      },
      workspaceFolders: (setup.open ?? [ROOT]).map((uri) => ({ uri, name: uri.slice(uri.lastIndexOf('/') + 1) })),
      initializationOptions: { trusted: setup.trusted ?? true, rulePages: 'https://pages.invalid/rules/' },
    };
    const first = server.nextSet();
    await server.client.sendRequest('initialize', params);
    await server.client.sendNotification('initialized', {});
    await setup.onMade?.(server);
    if ((setup.open ?? [ROOT]).length > 0) await first;
    return server;
  }

  files(root = ROOT): MemoryFiles {
    return this.folders.get(root)!;
  }

  uri(path: string, root = ROOT): string {
    return `${root}/${path}`;
  }

  /** Resolves when one more settled state has been published. */
  nextSet(): Promise<void> {
    return new Promise((resolve) => this.#waiting.push({ after: this.published, resolve }));
  }

  async text(path: string, root = ROOT): Promise<string> {
    return new TextDecoder().decode(await this.files(root).read(path));
  }

  /** Opens a file in the editor, with another text than the stored one where given. */
  async open(path: string, text?: string, root = ROOT): Promise<TextDocument> {
    const document = TextDocument.create(this.uri(path, root), 'csv', 1, text ?? (await this.text(path, root)));
    this.#documents.set(document.uri, document);
    await this.client.sendNotification('textDocument/didOpen', {
      textDocument: { uri: document.uri, languageId: 'csv', version: 1, text: document.getText() },
    });
    return document;
  }

  /** Types: replaces the whole text. */
  async type(path: string, text: string, root = ROOT): Promise<void> {
    const document = this.#documents.get(this.uri(path, root))!;
    TextDocument.update(document, [{ text }], document.version + 1);
    await this.client.sendNotification('textDocument/didChange', {
      textDocument: { uri: document.uri, version: document.version },
      contentChanges: [{ text }],
    });
  }

  async close(path: string): Promise<void> {
    this.#documents.delete(this.uri(path));
    await this.client.sendNotification('textDocument/didClose', { textDocument: { uri: this.uri(path) } });
  }

  /** Writes a file to the disk and says so, as a watcher does. */
  async write(path: string, content: string | Uint8Array | null, root = ROOT): Promise<void> {
    const existed = (await this.files(root).stat(path)) !== undefined;
    if (content === null) this.files(root).remove(path);
    else this.files(root).set(path, content);
    await this.client.sendNotification('workspace/didChangeWatchedFiles', {
      changes: [{ uri: this.uri(path, root), type: content === null ? 3 : existed ? 2 : 1 }],
    });
  }

  /** Does something and waits for the set that follows from it. */
  async settledAfter(work: () => Promise<unknown>): Promise<void> {
    const next = this.nextSet();
    await work();
    await next;
  }

  request<M extends keyof Requests>(method: M, params: Requests[M]['params']): Promise<Requests[M]['result']> {
    return this.client.sendRequest(method, params);
  }

  diagnostics(path: string, root = ROOT): readonly Diagnostic[] {
    return this.shown.get(this.uri(path, root)) ?? [];
  }

  /** `rule:line` of what a file shows in lists: everything but faint marks. */
  listed(path: string, root = ROOT): string[] {
    return this.diagnostics(path, root)
      .filter(({ severity }) => severity !== 4)
      .map(({ code, range }) => `${String(code)}:${range.start.line + 1}`);
  }

  async stop(): Promise<void> {
    await this.client.sendRequest('shutdown');
    this.client.dispose();
  }
}

/** A text with edits applied, as an editor does it. */
export function applied(text: string, edits: readonly TextEdit[]): string {
  return TextDocument.applyEdits(TextDocument.create('file:///x', 'csv', 1, text), [...edits]);
}
