import * as vscode from 'vscode';
import { activateWith } from './activateWith';
import { serveFiles } from './virtualFiles';

export function activate(context: vscode.ExtensionContext): void {
  activateWith(context, async (options) => {
    const { LanguageClient } = await import('vscode-languageclient/browser');
    const client = new LanguageClient('damperReview', 'Damper Spec Review', await serverWorker(context), options);
    // Copied, since a view would take all that it is a view of along.
    serveFiles(client, context.subscriptions, (bytes) => ({ kind: 'content', bytes: new Uint8Array(bytes) }));
    return client;
  });
}

/** From the script's text, since a host starts no worker from the address of an extension that lies on a remote machine. */
async function serverWorker(context: vscode.ExtensionContext): Promise<Worker> {
  const script = vscode.Uri.joinPath(context.extensionUri, 'dist', 'server.web.js');
  const text = new TextDecoder().decode(await vscode.workspace.fs.readFile(script));
  return new Worker(URL.createObjectURL(new Blob([text], { type: 'text/javascript' })));
}
