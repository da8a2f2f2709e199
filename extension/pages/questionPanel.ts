import * as vscode from 'vscode';
import type { ChartParams } from '../../src/protocol/requests';
import type { PageName, PageView } from '../../src/protocol/views';
import type { ReviewServer } from '../reviewServer';
import { PageHost, pageIcon, type PageSurroundings } from './pageHost';
import { isPageState, type PageState } from './pageState';

/** A page that answers one question again and again: two targets, the adjusters of a file, a branch. */
export interface PageKind<State extends PageState> {
  readonly page: PageName & State['page'];
  readonly viewType: string;
  readonly title: (state: State) => string;
  readonly ask: (server: ReviewServer, state: State, charts: ChartParams) => Promise<PageView | null>;
  /** Said where there is nothing to show. */
  readonly nothing: string;
}

/** Panels of one kind, one for each question. */
export class QuestionPanels<State extends PageState> implements vscode.WebviewPanelSerializer, vscode.Disposable {
  readonly #kind: PageKind<State>;
  readonly #server: ReviewServer;
  readonly #around: PageSurroundings;
  readonly #open = new Map<string, vscode.WebviewPanel>();

  constructor(kind: PageKind<State>, server: ReviewServer, around: PageSurroundings) {
    this.#kind = kind;
    this.#server = server;
    this.#around = around;
  }

  show(state: State): void {
    const already = this.#open.get(JSON.stringify(state));
    if (already !== undefined) {
      already.reveal();
      return;
    }
    const { viewType } = this.#kind;
    this.#attach(vscode.window.createWebviewPanel(viewType, '', vscode.ViewColumn.Active, {}), state);
  }

  deserializeWebviewPanel(panel: vscode.WebviewPanel, state: unknown): Promise<void> {
    if (isPageState(state) && state.page === this.#kind.page) this.#attach(panel, state as State);
    else panel.dispose();
    return Promise.resolve();
  }

  #attach(panel: vscode.WebviewPanel, state: State): void {
    const key = JSON.stringify(state);
    this.#open.set(key, panel);
    panel.title = this.#kind.title(state);
    panel.iconPath = pageIcon(this.#around.extensionUri);
    let asked = 0;
    const refresh = async (): Promise<void> => {
      const question = ++asked;
      try {
        const view = await this.#kind.ask(this.#server, state, host.charts);
        if (question !== asked) return;
        if (view === null) host.sayEmpty(this.#kind.nothing);
        else host.show(view);
      } catch (error) {
        if (question === asked) host.sayEmpty(error instanceof Error ? error.message : String(error));
      }
    };
    const host = new PageHost(panel.webview, this.#kind.page, this.#around, { ready: () => void refresh() });
    const changes = this.#server.onChanged(() => {
      if (panel.visible) void refresh();
    });
    panel.onDidDispose(() => {
      changes.dispose();
      this.#open.delete(key);
    });
  }

  dispose(): void {
    for (const panel of this.#open.values()) panel.dispose();
  }
}
