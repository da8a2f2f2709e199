import type * as vscode from 'vscode';
import { activateWith } from './activateWith';
import { serveFiles } from './virtualFiles';

/** Of Node.js, whose types the extension does not see, as one half of it runs in a browser. */
declare const Buffer: {
  from(memory: ArrayBufferLike, start: number, length: number): { toString(encoding: 'base64'): string };
};

export function activate(context: vscode.ExtensionContext): void {
  activateWith(context, async (options) => {
    const { LanguageClient, TransportKind } = await import('vscode-languageclient/node');
    const server = { module: context.asAbsolutePath('dist/server.mjs'), transport: TransportKind.ipc };
    const client = new LanguageClient('damperReview', 'Damper Spec Review', server, options);
    serveFiles(client, context.subscriptions, ({ buffer, byteOffset, length }) => ({
      kind: 'content',
      base64: Buffer.from(buffer, byteOffset, length).toString('base64'), // messages between processes are JSON
    }));
    return client;
  });
}
