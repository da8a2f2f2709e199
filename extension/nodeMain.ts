import type * as vscode from 'vscode';
import { activateWith } from './activateWith';

export function activate(context: vscode.ExtensionContext): void {
  activateWith(context, async (options) => {
    const { LanguageClient, TransportKind } = await import('vscode-languageclient/node');
    const server = { module: context.asAbsolutePath('dist/server.mjs'), transport: TransportKind.ipc };
    return new LanguageClient('damperReview', 'Damper Spec Review', server, options);
  });
}
