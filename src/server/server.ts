import {
  DidChangeConfigurationNotification,
  TextDocumentSyncKind,
  type ClientCapabilities,
  type Connection,
  type FileEvent,
  type InitializeParams,
  type InitializeResult,
} from 'vscode-languageserver';
import { CHANGED, type ServerOptions } from '../protocol/requests';
import { nameOfUri } from './folderUri';
import { OpenDocuments } from './openDocuments';
import { DiagnosticPublisher } from './publisher';
import type { Repository, RepositoryEvents, Tuning } from './repository';
import { registerFeatures } from './registerFeatures';
import { registerViews } from './registerViews';
import type { ServerPlatform } from './serverPlatform';
import { readOptions } from './settings';
import { SettingsOfFiles } from './settingsOfFiles';
import { Workspace } from './workspace';

/** What every handler works with. */
export interface ServerParts {
  readonly connection: Connection;
  readonly workspace: Workspace;
  readonly documents: OpenDocuments;
  readonly settings: SettingsOfFiles;
  readonly options: ServerOptions;
}

/** Starts the language server on a connection. @param platformFor called once, when the client has said what it is */
export function startServer(
  connection: Connection,
  platformFor: (options: ServerOptions) => ServerPlatform,
  tuning: Tuning = { quiet: 120, patience: 500 },
): void {
  let server: ReviewServer | undefined;
  connection.onInitialize((params) => {
    const options = readOptions(params.initializationOptions);
    server = new ReviewServer(connection, platformFor(options), options, params, tuning);
    return server.answer();
  });
  connection.onInitialized(() => server?.start());
  connection.onShutdown(() => server?.close());
}

class ReviewServer {
  readonly #connection: Connection;
  readonly #platform: ServerPlatform;
  readonly #capabilities: ClientCapabilities;
  readonly #workspace: Workspace;
  readonly #publisher: DiagnosticPublisher;
  readonly #parts: ServerParts;
  #folders: readonly string[];

  constructor(
    connection: Connection,
    platform: ServerPlatform,
    options: ServerOptions,
    params: InitializeParams,
    tuning: Tuning,
  ) {
    this.#connection = connection;
    this.#platform = platform;
    this.#capabilities = params.capabilities;
    this.#folders = foldersOf(params);
    this.#publisher = new DiagnosticPublisher(connection, options.rulePages);
    this.#workspace = new Workspace(platform, this.#events(), tuning);
    const documents = new OpenDocuments(connection, this.#workspace, {
      openedOrClosed: ({ repository, path }) => {
        if (repository.wasReviewed) this.#publisher.publish(repository, [path], this.#parts.documents);
      },
    });
    const settings = new SettingsOfFiles(connection, params.capabilities.workspace?.configuration === true);
    this.#parts = { connection, workspace: this.#workspace, documents, settings, options };
    registerFeatures(this.#parts);
    registerViews(this.#parts);
    connection.onDidChangeWatchedFiles(({ changes }) => this.#filesChanged(changes));
    connection.onDidChangeConfiguration(() => {
      settings.forget();
      this.#refreshText();
    });
  }

  #events(): RepositoryEvents {
    return {
      settled: (repository, files) => {
        this.#settled(repository, files);
      },
      failed: (repository, error) => {
        this.#failed(repository, error);
      },
      stopped: (repository) => {
        this.#connection.console.info(`${nameOfUri(repository.folder.uri)}: the review was stopped.`);
        void this.#connection.sendNotification(CHANGED);
        this.#refreshText();
      },
      showProgress: () => this.#connection.window.createWorkDoneProgress(),
    };
  }

  answer(): InitializeResult {
    return {
      serverInfo: { name: 'Damper Spec Review' },
      capabilities: {
        textDocumentSync: { openClose: true, change: TextDocumentSyncKind.Incremental, save: true },
        workspace: { workspaceFolders: { supported: true, changeNotifications: true } },
        hoverProvider: true,
        inlayHintProvider: true,
        codeLensProvider: {},
        completionProvider: { triggerCharacters: [' ', ':', '[', '{', ','] },
        definitionProvider: true,
        referencesProvider: true,
        documentSymbolProvider: true,
        renameProvider: { prepareProvider: true },
        codeActionProvider: { codeActionKinds: ['quickfix'], resolveProvider: true },
      },
    };
  }

  async start(): Promise<void> {
    const { workspace } = this.#capabilities;
    if (workspace?.workspaceFolders === true)
      this.#connection.workspace.onDidChangeWorkspaceFolders(async ({ added, removed }) => {
        const gone = new Set(removed.map(({ uri }) => uri));
        await this.#setFolders([...this.#folders.filter((uri) => !gone.has(uri)), ...added.map(({ uri }) => uri)]);
      });
    await this.#setFolders(this.#folders);
    if (workspace?.didChangeConfiguration?.dynamicRegistration === true)
      await this.#connection.client.register(DidChangeConfigurationNotification.type);
  }

  async close(): Promise<void> {
    this.#workspace.close();
    await this.#platform.close();
  }

  async #setFolders(folders: readonly string[]): Promise<void> {
    this.#folders = folders;
    for (const limit of folders.flatMap((folder) => this.#platform.limitsOf(folder))) this.#tellOnce(limit);
    this.#letGo(await this.#workspace.setFolders(folders));
    for (const document of this.#parts.documents.all()) await this.#workspace.placeOf(document.uri);
  }

  readonly #told = new Set<string>();
  #tellOnce(words: string): void {
    if (this.#told.has(words)) return;
    this.#told.add(words);
    this.#connection.console.info(words);
  }

  async #filesChanged(changes: readonly FileEvent[]): Promise<void> {
    const touched = new Map<Repository, string[]>();
    for (const { uri } of changes) {
      if (nameOfUri(uri) === 'damper-review.yaml') this.#letGo(await this.#workspace.markerChanged(uri));
      const place = this.#workspace.knownPlaceOf(uri);
      if (place !== undefined) touched.set(place.repository, [...(touched.get(place.repository) ?? []), place.path]);
    }
    for (const [repository, paths] of touched) repository.invalidate(paths);
  }

  #letGo(repositories: readonly Repository[]): void {
    for (const repository of repositories) this.#publisher.clear(repository);
    if (repositories.length > 0) void this.#connection.sendNotification(CHANGED);
  }

  #settled(repository: Repository, files: readonly string[]): void {
    this.#parts.documents.reviewed(repository);
    this.#publisher.publish(repository, files, this.#parts.documents);
    void this.#connection.sendNotification(CHANGED);
    this.#refreshText();
  }

  #failed(repository: Repository, error: unknown): void {
    const message = error instanceof Error ? error.message : String(error);
    const remedy = error instanceof Error && 'remedy' in error ? ` ${String(error.remedy)}` : '';
    this.#connection.console.error(`${nameOfUri(repository.folder.uri)} could not be reviewed: ${message}${remedy}`);
  }

  /** Hints and lenses stand in the text and are asked again; clients that cannot be told ask on their own. */
  #refreshText(): void {
    const { workspace } = this.#capabilities;
    if (workspace?.inlayHint?.refreshSupport === true) void this.#connection.languages.inlayHint.refresh();
    if (workspace?.codeLens?.refreshSupport === true) void this.#connection.sendRequest('workspace/codeLens/refresh');
  }
}

function foldersOf({ workspaceFolders }: InitializeParams): string[] {
  return (workspaceFolders ?? []).map(({ uri }) => uri);
}
