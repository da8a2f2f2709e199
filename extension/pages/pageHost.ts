import * as vscode from 'vscode';
import { isPageMessage, type HostMessage, type PageMessage } from '../../src/protocol/pageMessages';
import type { ChartParams } from '../../src/protocol/requests';
import type { PageName, PageView } from '../../src/protocol/views';
import { pageHtml } from './pageHtml';
import { saveDrawing } from './saveDrawing';

/** What every page needs from its surroundings. */
export interface PageSurroundings {
  readonly extensionUri: vscode.Uri;
  readonly log: vscode.LogOutputChannel;
  /** Shows two targets side by side in a panel of their own. */
  readonly compare: (a: string, b: string) => void;
}

export interface PageHandlers {
  /** The page stands there empty: first, and each time it is shown again, since nothing is retained while it is hidden. */
  readonly ready: () => void;
  /** Its charts have another room; as `ready` where absent. */
  readonly resized?: () => void;
  readonly selectRow?: (row: number) => void;
  readonly chooseSetting?: (setting: string) => void;
  readonly chooseBase?: (base: string) => void;
  readonly drawMore?: (drawn: number) => void;
}

/** One webview with one of our pages: its markup, its policy, and the messages in both directions. */
export class PageHost {
  readonly #webview: vscode.Webview;
  readonly #page: PageName;
  readonly #around: PageSurroundings;
  readonly #handlers: PageHandlers;
  #room: number | undefined;

  constructor(webview: vscode.Webview, page: PageName, around: PageSurroundings, handlers: PageHandlers) {
    this.#webview = webview;
    this.#page = page;
    this.#around = around;
    this.#handlers = handlers;
    const folder = vscode.Uri.joinPath(around.extensionUri, 'dist', 'webview');
    webview.options = { enableScripts: true, enableForms: false, localResourceRoots: [folder] };
    webview.onDidReceiveMessage((message: unknown) => {
      this.#receive(message);
    });
    webview.html = pageHtml(page, {
      script: webview.asWebviewUri(vscode.Uri.joinPath(folder, 'page.js')).toString(),
      style: webview.asWebviewUri(vscode.Uri.joinPath(folder, 'page.css')).toString(),
      source: webview.cspSource,
    });
  }

  /** What a request for the page's charts takes: the pixels across that they have. */
  get charts(): ChartParams {
    return this.#room === undefined ? {} : { width: this.#room };
  }

  show(view: PageView): void {
    this.#post({ kind: 'show', view });
  }

  select(row: number): void {
    this.#post({ kind: 'select', row });
  }

  sayEmpty(sentence: string): void {
    this.#post({ kind: 'empty', page: this.#page, sentence: sentence.slice(0, 4000) });
  }

  #post(message: HostMessage): void {
    void this.#webview.postMessage(message);
  }

  #receive(message: unknown): void {
    if (!isPageMessage(message)) {
      this.#around.log.warn(`The ${this.#page} page sent a message that does not fit; it was refused.`);
      void vscode.window.showWarningMessage(
        `The ${this.#page} page sent a message that does not fit. It was refused; nothing was done.`,
      );
      return;
    }
    this.#handle(message);
  }

  #handle(message: PageMessage): void {
    switch (message.kind) {
      case 'ready':
        this.#room = message.width;
        this.#handlers.ready();
        break;
      case 'resized':
        this.#room = message.width;
        (this.#handlers.resized ?? this.#handlers.ready)();
        break;
      case 'selectRow':
        this.#handlers.selectRow?.(message.row);
        break;
      case 'chooseSetting':
        this.#handlers.chooseSetting?.(message.setting);
        break;
      case 'chooseBase':
        this.#handlers.chooseBase?.(message.base);
        break;
      case 'drawMore':
        this.#handlers.drawMore?.(message.drawn);
        break;
      case 'openFile':
        void openAtLine(message.uri, message.line);
        break;
      case 'compare':
        this.#around.compare(message.a, message.b);
        break;
      case 'save':
        void saveDrawing(message.format, message.name, message.data);
        break;
      case 'refused':
        this.#around.log.warn(`The ${this.#page} page refused a message: ${message.reason}`);
        break;
    }
  }
}

/** The picture on the tab of a page. */
export function pageIcon(extensionUri: vscode.Uri): { readonly light: vscode.Uri; readonly dark: vscode.Uri } {
  const at = (name: string): vscode.Uri => vscode.Uri.joinPath(extensionUri, 'extension', 'icons', name);
  return { light: at('curve-light.svg'), dark: at('curve-dark.svg') };
}

/** Opens a file of the open folders; an address of anything else is refused. */
export async function openAtLine(address: string, line: number): Promise<void> {
  const uri = vscode.Uri.parse(address);
  if (vscode.workspace.getWorkspaceFolder(uri) === undefined && !isOpen(uri)) {
    void vscode.window.showWarningMessage('That file lies in none of the open folders; it was not opened.');
    return;
  }
  const place = new vscode.Position(Math.max(0, line - 1), 0);
  await vscode.commands.executeCommand('vscode.open', uri, {
    viewColumn: columnBesidePages(),
    selection: new vscode.Range(place, place),
  });
}

function isOpen(uri: vscode.Uri): boolean {
  return vscode.workspace.textDocuments.some((document) => document.uri.toString() === uri.toString());
}

/** Where texts stand: the group of a visible text, else the first. */
export function columnBesidePages(): vscode.ViewColumn {
  return (
    vscode.window.visibleTextEditors.find(({ viewColumn }) => viewColumn !== undefined)?.viewColumn ??
    vscode.ViewColumn.One
  );
}
