import * as vscode from 'vscode';
import { REQUEST, type BranchParams } from '../../src/protocol/requests';
import type { BranchView } from '../../src/protocol/views';
import type { ReviewServer } from '../reviewServer';
import { PageHost, pageIcon, type PageSurroundings } from './pageHost';
import { isPageState, type BranchState } from './pageState';

export const BRANCH_VIEW = 'damperReview.branch';

/** The page of the branch against its base: one in a window, since there is one branch checked out. */
export class BranchPanel implements vscode.WebviewPanelSerializer, vscode.Disposable {
  readonly #server: ReviewServer;
  readonly #around: PageSurroundings;
  #open: { readonly panel: vscode.WebviewPanel; readonly ask: (state: BranchState) => void } | undefined;

  constructor(server: ReviewServer, around: PageSurroundings) {
    this.#server = server;
    this.#around = around;
  }

  /** @param uri a file or folder of the repository; the only repository where absent */
  show(uri?: string): void {
    const state = stateOf('', uri);
    if (this.#open === undefined) {
      this.#attach(vscode.window.createWebviewPanel(BRANCH_VIEW, '', vscode.ViewColumn.Active, {}), state);
      return;
    }
    this.#open.panel.reveal();
    if (uri !== undefined) this.#open.ask(state);
  }

  deserializeWebviewPanel(panel: vscode.WebviewPanel, state: unknown): Promise<void> {
    this.#attach(panel, isPageState(state) && state.page === 'branch' ? state : stateOf(''));
    return Promise.resolve();
  }

  #attach(panel: vscode.WebviewPanel, first: BranchState): void {
    let state = first;
    panel.iconPath = pageIcon(this.#around.extensionUri);
    panel.title = titleOf(state);
    const host = new PageHost(panel.webview, 'branch', this.#around, {
      ready: () => {
        question.forget();
        question.ask(state, 'quietly');
      },
      resized: () => {
        question.ask(state, 'quietly');
      },
      chooseBase: (base) => {
        ask(stateOf(base, state.uri));
      },
      drawMore: (drawn) => {
        state = { ...state, drawn };
        question.ask(state, 'quietly');
      },
    });
    const question = new BranchQuestion(this.#server, host);
    const ask = (next: BranchState): void => {
      state = next;
      panel.title = titleOf(state);
      question.forget();
      question.ask(state, 'told');
    };
    const changes = this.#server.onChanged(() => {
      if (panel.visible) question.ask(state, 'quietly');
    });
    this.#open = { panel, ask };
    panel.onDidDispose(() => {
      changes.dispose();
      question.dispose();
      if (this.#open?.panel === panel) this.#open = undefined;
    });
  }

  dispose(): void {
    this.#open?.panel.dispose();
  }
}

/** Asks for the view again and again: a newer question stops the older one, and what did not change is not drawn again. */
class BranchQuestion implements vscode.Disposable {
  readonly #server: ReviewServer;
  readonly #host: PageHost;
  #asking: vscode.CancellationTokenSource | undefined;
  #shown = '';

  constructor(server: ReviewServer, host: PageHost) {
    this.#server = server;
    this.#host = host;
  }

  /** The page stands there without what was shown. */
  forget(): void {
    this.#shown = '';
  }

  /** @param how `told` where the user waits for it, who may stop it; `quietly` where a file changed */
  ask(state: BranchState, how: 'told' | 'quietly'): void {
    this.#asking?.cancel();
    const asking = new vscode.CancellationTokenSource();
    this.#asking = asking;
    const { Notification, Window } = vscode.ProgressLocation;
    void vscode.window.withProgress(
      { location: how === 'told' ? Notification : Window, title: 'Branch review', cancellable: how === 'told' },
      async (progress, stopped) => {
        stopped.onCancellationRequested(() => {
          asking.cancel();
        });
        await this.#answer(state, asking, (message) => {
          progress.report({ message });
          if (this.#shown === '' && this.#asking === asking) this.#host.sayEmpty(`Branch review: ${message}`);
        });
      },
    );
  }

  async #answer(
    { base, uri, drawn }: BranchState,
    asking: vscode.CancellationTokenSource,
    tell: (message: string) => void,
  ): Promise<void> {
    const params: BranchParams = {
      ...this.#host.charts,
      ...(base !== '' && { base }),
      ...(uri !== undefined && { uri }),
      ...(drawn !== undefined && { drawn }),
    };
    try {
      const view = await this.#server.askLong(REQUEST.branch, params, asking.token, tell);
      if (this.#asking === asking) this.#show(view);
    } catch (error) {
      if (this.#asking !== asking) return;
      const why = error instanceof Error ? error.message : String(error);
      this.forget();
      this.#host.sayEmpty(asking.token.isCancellationRequested ? 'The review was stopped.' : why);
    }
  }

  #show(view: BranchView): void {
    const shown = JSON.stringify(view);
    if (shown === this.#shown) return;
    this.#shown = shown;
    this.#host.show(view);
  }

  dispose(): void {
    this.#asking?.cancel();
  }
}

function stateOf(base: string, uri?: string): BranchState {
  return { page: 'branch', base, ...(uri !== undefined && { uri }) };
}

function titleOf({ base }: BranchState): string {
  return base === '' ? 'Branch review' : `Branch review against ${base}`;
}
