import * as vscode from 'vscode';
import { holdsCurves, isOurs } from '../ourFiles';
import type { ReviewServer } from '../reviewServer';
import { pageIcon, type PageSurroundings } from './pageHost';
import { isPageState, type PreviewState } from './pageState';
import { nameOf, PreviewContent } from './previewContent';

export const PREVIEW_VIEW = 'damperReview.preview';
const LOCKED_KEY = 'damperReview.previewLocked';

/** The one preview panel, which follows the active file unless it is locked to one. */
export class PreviewPanel implements vscode.Disposable, vscode.WebviewPanelSerializer {
  readonly #context: vscode.ExtensionContext;
  readonly #server: ReviewServer;
  readonly #around: PageSurroundings;
  readonly #following: vscode.Disposable;
  #panel: vscode.WebviewPanel | undefined;
  #content: PreviewContent | undefined;
  #locked = false;

  constructor(context: vscode.ExtensionContext, server: ReviewServer, around: PageSurroundings) {
    this.#context = context;
    this.#server = server;
    this.#around = around;
    this.#following = vscode.window.onDidChangeActiveTextEditor((editor) => {
      this.#follow(editor);
    });
  }

  async open(uri: vscode.Uri): Promise<void> {
    if (this.#panel === undefined)
      this.#attach(
        vscode.window.createWebviewPanel(
          PREVIEW_VIEW,
          'Preview',
          { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true },
          {},
        ),
      );
    else this.#panel.reveal(undefined, true);
    await this.#content?.show(uri);
    this.#name();
  }

  async toggleLock(): Promise<void> {
    this.#locked = !this.#locked;
    await this.#context.workspaceState.update(LOCKED_KEY, this.#locked);
    if (!this.#locked) this.#follow(vscode.window.activeTextEditor);
    this.#name();
  }

  async deserializeWebviewPanel(panel: vscode.WebviewPanel, state: unknown): Promise<void> {
    this.#locked = this.#context.workspaceState.get<boolean>(LOCKED_KEY) === true;
    this.#attach(panel);
    if (isPageState(state) && state.page === 'preview') await this.#restore(state);
    else this.#follow(vscode.window.activeTextEditor);
  }

  async #restore({ uri, setting }: PreviewState): Promise<void> {
    await this.#content?.show(vscode.Uri.parse(uri), setting);
    this.#name();
  }

  #attach(panel: vscode.WebviewPanel): void {
    this.#panel = panel;
    this.#content = new PreviewContent(panel.webview, this.#server, this.#around, () => {
      this.#name();
    });
    panel.iconPath = pageIcon(this.#around.extensionUri);
    panel.onDidDispose(() => {
      this.#content?.dispose();
      this.#content = undefined;
      this.#panel = undefined;
      this.#locked = false;
    });
  }

  #follow(editor: vscode.TextEditor | undefined): void {
    if (this.#locked || this.#content === undefined || editor === undefined) return;
    const { uri } = editor.document;
    if (uri.scheme === 'git' || !(holdsCurves(uri.path) || isOurs(uri.path))) return;
    void this.#content.show(uri);
    this.#name();
  }

  #name(): void {
    const uri = this.#content?.uri;
    if (this.#panel === undefined || uri === undefined) return;
    this.#panel.title = `${this.#locked ? 'Locked preview' : 'Preview'}: ${nameOf(uri)}`;
  }

  dispose(): void {
    this.#following.dispose();
    this.#panel?.dispose();
  }
}
