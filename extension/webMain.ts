import * as vscode from 'vscode';
import { activateWith } from './activateWith';
import { serveFiles } from './virtualFiles';

export function activate(context: vscode.ExtensionContext): void {
  activateWith(context, async (options) => {
    const { LanguageClient } = await import('vscode-languageclient/browser');
    const script = vscode.Uri.joinPath(context.extensionUri, 'dist', 'server.web.js').toString(true);
    const client = new LanguageClient('damperReview', 'Damper Spec Review', new Worker(script), options);
    serveFiles(client, context.subscriptions);
    return client;
  });
}
