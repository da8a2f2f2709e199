import * as vscode from 'vscode';
import { REQUEST, type FileEdits } from '../src/protocol/requests';
import type { ReviewServer } from './reviewServer';

/** Quick fixes that need words of the user before the server can write the edit. Each is one workspace edit, so that undo takes it back. */
export class EditCommands {
  readonly #server: ReviewServer;

  constructor(server: ReviewServer) {
    this.#server = server;
  }

  async reduce(from: unknown): Promise<void> {
    const uri = addressOf(from);
    if (uri !== undefined) await this.#apply(() => this.#server.ask(REQUEST.reduce, { uri }));
  }

  async adopt(from: unknown): Promise<void> {
    const uri = addressOf(from);
    if (uri === undefined) return;
    const reason = await askWords('Adopt as the reference curve', 'Why this result becomes the reference');
    if (reason !== undefined) await this.#apply(() => this.#server.ask(REQUEST.adopt, { uris: [uri], reason }));
  }

  async waive(from: unknown, rule: unknown): Promise<void> {
    const uri = addressOf(from);
    if (uri === undefined || typeof rule !== 'string') return;
    const title = `Waive ${rule}`;
    const reason = await askWords(title, 'Why this finding may stand');
    if (reason === undefined) return;
    const by = await askWords(title, 'Who answers for it');
    if (by === undefined) return;
    const until = await vscode.window.showInputBox({
      title,
      prompt: 'Last day of the waiver, YYYY-MM-DD',
      validateInput: (text) => (/^\d{4}-\d{2}-\d{2}$/.test(text) ? undefined : 'Write a date as YYYY-MM-DD.'),
    });
    if (until !== undefined) await this.#apply(() => this.#server.ask(REQUEST.waive, { uri, rule, reason, by, until }));
  }

  async #apply(ask: () => Promise<FileEdits>): Promise<void> {
    try {
      const { files, notes } = await ask();
      if (files.length > 0 && !(await vscode.workspace.applyEdit(editOf(files, await wholeRanges(files)))))
        throw new Error('The editor did not apply the edit. Save or close the files that it touches, then try again.');
      if (notes.length > 0) void vscode.window.showInformationMessage(notes.join(' '));
    } catch (error) {
      void vscode.window.showErrorMessage(error instanceof Error ? error.message : String(error));
    }
  }
}

type EditedFile = FileEdits['files'][number];

async function wholeRanges(files: readonly EditedFile[]): Promise<(vscode.Range | undefined)[]> {
  return Promise.all(
    files.map(async ({ uri, isNew }) => {
      if (isNew) return undefined;
      const document = await vscode.workspace.openTextDocument(vscode.Uri.parse(uri));
      return document.validateRange(new vscode.Range(0, 0, document.lineCount, 0));
    }),
  );
}

function editOf(files: readonly EditedFile[], ranges: readonly (vscode.Range | undefined)[]): vscode.WorkspaceEdit {
  const edit = new vscode.WorkspaceEdit();
  files.forEach(({ uri, text }, i) => {
    const target = vscode.Uri.parse(uri);
    const range = ranges[i];
    if (range !== undefined) edit.replace(target, range, text);
    else edit.createFile(target, { contents: new TextEncoder().encode(text) });
  });
  return edit;
}

function addressOf(from: unknown): string | undefined {
  if (typeof from === 'string') return from;
  if (from instanceof vscode.Uri) return from.toString();
  return vscode.window.activeTextEditor?.document.uri.toString();
}

function askWords(title: string, prompt: string): Thenable<string | undefined> {
  return vscode.window.showInputBox({
    title,
    prompt,
    validateInput: (text) => (text.trim() === '' ? 'Write it in a few words.' : undefined),
  });
}
