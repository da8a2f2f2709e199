import * as vscode from 'vscode';
import { isOurs, MARKER } from './ourFiles';

/**
 * Calls `start` once: when a folder has the marker at its root, or a file of ours is open or becomes so. The editor activates extensions by
 * language, and ours keep CSV, YAML and plain text, so that most activations end with a look at a name.
 */
export function whenNeeded(start: () => void, disposables: vscode.ExtensionContext['subscriptions']): void {
  let done = false;
  const listening: vscode.Disposable[] = [];
  const begin = (): void => {
    if (done) return;
    done = true;
    for (const one of listening) one.dispose();
    start();
  };
  const look = ({ uri }: vscode.TextDocument): void => {
    if (uri.scheme !== 'git' && isOurs(uri.path)) begin();
  };
  listening.push(
    vscode.workspace.onDidOpenTextDocument(look),
    vscode.workspace.onDidChangeWorkspaceFolders(({ added }) => {
      void lookForMarker(added, begin);
    }),
  );
  disposables.push(...listening);
  vscode.workspace.textDocuments.forEach(look);
  void lookForMarker(vscode.workspace.workspaceFolders ?? [], begin);
}

async function lookForMarker(folders: readonly vscode.WorkspaceFolder[], begin: () => void): Promise<void> {
  for (const { uri } of folders) {
    try {
      await vscode.workspace.fs.stat(vscode.Uri.joinPath(uri, MARKER));
      begin();
      return;
    } catch {
      // no marker here
    }
  }
}
