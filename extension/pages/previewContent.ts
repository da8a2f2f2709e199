import * as vscode from 'vscode';
import { REQUEST } from '../../src/protocol/requests';
import type { PreviewView } from '../../src/protocol/views';
import type { ReviewServer } from '../reviewServer';
import { columnBesidePages, PageHost, type PageSurroundings } from './pageHost';

/** The preview of one file at a time in a webview: asks the server for the view, and ties rows of the text to points of the charts. */
export class PreviewContent implements vscode.Disposable {
  readonly #server: ReviewServer;
  readonly #host: PageHost;
  readonly #onShown: (view: PreviewView) => void;
  readonly #disposables: vscode.Disposable[] = [];
  #uri: vscode.Uri | undefined;
  #setting: string | undefined;
  #row = 0;
  #shown: PreviewView | undefined;
  /** Counts the questions, so that an older answer never replaces a newer one. */
  #asked = 0;

  constructor(
    webview: vscode.Webview,
    server: ReviewServer,
    around: PageSurroundings,
    onShown: (view: PreviewView) => void,
  ) {
    this.#server = server;
    this.#onShown = onShown;
    this.#host = new PageHost(webview, 'preview', around, {
      ready: () => void this.refresh(),
      selectRow: (row) => void this.#revealRow(row),
      chooseSetting: (setting) => {
        this.#setting = setting;
        this.#row = 0;
        void this.refresh();
      },
    });
    this.#disposables.push(
      server.onChanged(() => void this.refresh()),
      vscode.window.onDidChangeTextEditorSelection(({ textEditor, selections }) => {
        if (selections[0] !== undefined) this.#followSelection(textEditor, selections[0].active.line + 1);
      }),
    );
  }

  get uri(): vscode.Uri | undefined {
    return this.#uri;
  }

  get setting(): string | undefined {
    return this.#setting;
  }

  async show(uri: vscode.Uri, setting?: string): Promise<void> {
    if (this.#uri?.toString() === uri.toString() && setting === undefined) return;
    this.#uri = uri;
    this.#setting = setting;
    this.#row = lineInText(uri);
    await this.refresh();
  }

  async refresh(): Promise<void> {
    const uri = this.#uri;
    const question = ++this.#asked;
    if (uri === undefined) {
      this.#host.sayEmpty('Open a result, a reference curve, a test log or a spec; its curves appear here.');
      return;
    }
    try {
      const view = await this.#server.ask(REQUEST.preview, {
        uri: uri.toString(),
        ...this.#host.charts,
        ...(this.#setting !== undefined && { setting: this.#setting }),
        ...(this.#row > 0 && { select: this.#row }),
      });
      if (question !== this.#asked) return;
      this.#shown = view ?? undefined;
      if (view === null) this.#host.sayEmpty(`${nameOf(uri)} holds no curve that can be shown.`);
      else {
        this.#host.show(view);
        this.#onShown(view);
      }
    } catch (error) {
      if (question === this.#asked) this.#host.sayEmpty(error instanceof Error ? error.message : String(error));
    }
  }

  #followSelection(editor: vscode.TextEditor, row: number): void {
    if (this.#uri === undefined || editor.document.uri.toString() !== this.#uri.toString() || row === this.#row) return;
    this.#row = row;
    if (this.#shown?.linked !== true) return;
    if (hasPoint(this.#shown, row)) this.#host.select(row);
    else void this.#showSettingOf(row);
  }

  /** The row may belong to another setting, which the server knows; a line without a point changes nothing. */
  async #showSettingOf(row: number): Promise<void> {
    const question = this.#asked;
    const view = await this.#server
      .ask(REQUEST.preview, { uri: (this.#uri as vscode.Uri).toString(), ...this.#host.charts, select: row })
      .catch(() => null);
    if (question !== this.#asked || view?.selected === undefined) return;
    this.#setting = view.settings.find(({ current }) => current)?.key;
    this.#shown = view;
    this.#host.show(view);
  }

  async #revealRow(row: number): Promise<void> {
    const view = this.#shown;
    if (view?.linked !== true || row < 1) return;
    this.#row = row;
    const document = await vscode.workspace.openTextDocument(vscode.Uri.parse(view.uri));
    const line = document.lineAt(Math.min(row, document.lineCount) - 1);
    const open = vscode.window.visibleTextEditors.find((editor) => editor.document === document);
    await vscode.window.showTextDocument(document, {
      viewColumn: open?.viewColumn ?? columnBesidePages(),
      preserveFocus: true,
      selection: line.range,
    });
  }

  dispose(): void {
    for (const one of this.#disposables) one.dispose();
  }
}

function hasPoint({ charts }: PreviewView, row: number): boolean {
  return charts.some(({ points }) => points?.some((point) => point.row === row) === true);
}

/** The 1-based line that is selected in a visible text; 0 where the text is not visible. */
function lineInText(uri: vscode.Uri): number {
  const editor = vscode.window.visibleTextEditors.find(({ document }) => document.uri.toString() === uri.toString());
  return editor === undefined ? 0 : editor.selection.active.line + 1;
}

export function nameOf(uri: vscode.Uri): string {
  return uri.path.slice(uri.path.lastIndexOf('/') + 1);
}
