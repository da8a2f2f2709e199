import * as vscode from 'vscode';
import type { BaseLanguageClient, LanguageClientOptions } from 'vscode-languageclient';
import { CHANGED, type Requests, type ServerOptions } from '../src/protocol/requests';
import { SYNCHRONISED, WATCHED } from './ourFiles';

/** Makes a client of the server that belongs to this host: a process on Node.js, a worker in a browser. */
export type MakeClient = (options: LanguageClientOptions) => Promise<BaseLanguageClient>;

/** The server behind the client: started on first need, started again when the folder becomes trusted. */
export class ReviewServer implements vscode.Disposable {
  readonly #context: vscode.ExtensionContext;
  readonly #makeClient: MakeClient;
  readonly #changed = new vscode.EventEmitter<void>();
  readonly #log: vscode.LogOutputChannel;
  readonly #foldersChanged: vscode.Disposable;
  #schemes: ReadonlySet<string> = new Set();
  #client: Promise<BaseLanguageClient> | undefined;

  /** Fires after each set of findings that the server published. */
  readonly onChanged = this.#changed.event;

  constructor(context: vscode.ExtensionContext, makeClient: MakeClient, log: vscode.LogOutputChannel) {
    this.#context = context;
    this.#makeClient = makeClient;
    this.#log = log;
    // A client is told of texts by scheme, and which schemes is settled when it starts.
    this.#foldersChanged = vscode.workspace.onDidChangeWorkspaceFolders(({ added }) => {
      if (this.started && added.some(({ uri }) => !this.#schemes.has(uri.scheme))) void this.restart();
    });
  }

  get started(): boolean {
    return this.#client !== undefined;
  }

  start(): Promise<BaseLanguageClient> {
    this.#client ??= this.#connect();
    return this.#client;
  }

  /** @throws Error with the remedy in words, as the server words it */
  async ask<Name extends keyof Requests>(
    name: Name,
    params: Requests[Name]['params'],
  ): Promise<Requests[Name]['result']> {
    const client = await this.start();
    return client.sendRequest<Requests[Name]['result']>(name, params);
  }

  /** As `ask`, for what takes its time. @param tell takes what is being done, in words */
  async askLong<Name extends keyof Requests>(
    name: Name,
    params: Requests[Name]['params'],
    token: vscode.CancellationToken,
    tell: (message: string) => void,
  ): Promise<Requests[Name]['result']> {
    const [client, { WorkDoneProgress }] = [await this.start(), await import('vscode-languageclient')]; // loaded with the client
    const workDoneToken = crypto.randomUUID();
    const listening = client.onProgress(WorkDoneProgress.type, workDoneToken, (told) => {
      if (told.kind !== 'end' && told.message !== undefined) tell(told.message);
    });
    try {
      return await client.sendRequest<Requests[Name]['result']>(name, { ...params, workDoneToken }, token);
    } finally {
      listening.dispose();
    }
  }

  async restart(): Promise<void> {
    const before = this.#client;
    this.#client = undefined;
    if (before !== undefined) await (await before).dispose();
    await this.start();
    this.#changed.fire();
  }

  async #connect(): Promise<BaseLanguageClient> {
    this.#schemes = new Set(['file', ...(vscode.workspace.workspaceFolders ?? []).map(({ uri }) => uri.scheme)]);
    const client = await this.#makeClient({
      documentSelector: [...this.#schemes].map((scheme) => ({ scheme, pattern: SYNCHRONISED })),
      synchronize: {
        fileEvents: vscode.workspace.createFileSystemWatcher(WATCHED),
      },
      initializationOptions: await serverOptions(this.#context),
      outputChannel: this.#log,
      diagnosticCollectionName: 'damperReview',
    });
    client.onNotification(CHANGED, () => {
      this.#changed.fire();
    });
    await client.start();
    return client;
  }

  async dispose(): Promise<void> {
    this.#foldersChanged.dispose();
    this.#changed.dispose();
    if (this.#client !== undefined) await (await this.#client).dispose();
  }
}

async function serverOptions(context: vscode.ExtensionContext): Promise<ServerOptions> {
  const rulePages = vscode.Uri.joinPath(context.extensionUri, 'docs', 'rules').toString();
  if (!vscode.workspace.isTrusted) return { trusted: false, rulePages };
  const gitPath = await pathOfGit();
  return { trusted: true, rulePages, ...(gitPath !== undefined && { gitPath }) };
}

/** What the editor's own git extension runs. It is absent in a browser and in restricted mode, and never needed. */
async function pathOfGit(): Promise<string | undefined> {
  const git = vscode.extensions.getExtension<{
    readonly enabled: boolean;
    getAPI(version: 1): { readonly git: { readonly path: string } };
  }>('vscode.git');
  if (git === undefined) return undefined;
  try {
    const exported = git.isActive ? git.exports : await git.activate();
    return exported.enabled ? exported.getAPI(1).git.path : undefined;
  } catch {
    return undefined; // no git on this machine; the git extension says so itself
  }
}
