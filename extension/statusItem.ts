import * as vscode from 'vscode';
import { REQUEST, type StatusView } from '../src/protocol/requests';
import { isOurs } from './ourFiles';
import type { ReviewServer } from './reviewServer';
import { statusIcon } from './verdictLook';

/** The verdict of the active file in the status area; a click opens its preview, or takes up a review that was stopped. */
export class StatusItem implements vscode.Disposable {
  readonly #server: ReviewServer;
  readonly #item = vscode.window.createStatusBarItem('damperReview.verdict', vscode.StatusBarAlignment.Left, 10);
  readonly #listening: vscode.Disposable[];
  #asked = 0;

  constructor(server: ReviewServer) {
    this.#server = server;
    this.#item.name = 'Damper verdict of the active file';
    this.#listening = [
      vscode.window.tabGroups.onDidChangeTabs(() => void this.refresh()),
      vscode.window.onDidChangeActiveTextEditor(() => void this.refresh()),
      server.onChanged(() => void this.refresh()),
    ];
  }

  async refresh(): Promise<void> {
    const question = ++this.#asked;
    const uri = activeFile();
    if (uri === undefined || !isOurs(uri.path) || uri.scheme === 'git') {
      this.#item.hide();
      return;
    }
    const status = await this.#server.ask(REQUEST.status, { uri: uri.toString() }).catch(() => null);
    if (question !== this.#asked) return;
    if (status === null) this.#item.hide();
    else {
      this.#item.text = `${iconOf(status)} ${plain(status.sentence)}`;
      this.#item.tooltip = restriction(status.sentence);
      this.#item.accessibilityInformation = { label: status.sentence };
      this.#item.command =
        status.stopped === true
          ? { command: 'damperReview.goOn', title: 'Go On with the Review' }
          : { command: 'damperReview.preview', title: 'Open Preview', arguments: [uri.toString()] };
      this.#item.show();
    }
  }

  dispose(): void {
    for (const one of this.#listening) one.dispose();
    this.#item.dispose();
  }
}

function iconOf({ verdict, stopped }: StatusView): string {
  return stopped === true || verdict === undefined ? '$(debug-pause)' : statusIcon(verdict);
}

const LONGEST = 90;

/** `$(name)` would become an icon in the status area. */
function plain(sentence: string): string {
  const safe = sentence.replaceAll('$(', '$ (');
  return safe.length <= LONGEST ? safe : `${safe.slice(0, LONGEST - 1)}…`;
}

function restriction(sentence: string): string {
  return vscode.workspace.isTrusted
    ? sentence
    : `${sentence}\nRestricted mode: no git, so no revisions to compare and no history.`;
}

function activeFile(): vscode.Uri | undefined {
  const input = vscode.window.tabGroups.activeTabGroup.activeTab?.input;
  if (input instanceof vscode.TabInputText || input instanceof vscode.TabInputCustom) return input.uri;
  if (input instanceof vscode.TabInputTextDiff) return input.modified;
  return vscode.window.activeTextEditor?.document.uri;
}
