import type * as vscode from 'vscode';
import type { ReviewServer } from '../reviewServer';
import type { PageSurroundings } from './pageHost';
import { PreviewContent } from './previewContent';

export const LOG_VIEW = 'damperReview.log';

/** A test log opened as a chart, by choice: readonly, and the log itself never becomes text in the editor. */
export class LogEditor implements vscode.CustomReadonlyEditorProvider {
  readonly #server: ReviewServer;
  readonly #around: PageSurroundings;

  constructor(server: ReviewServer, around: PageSurroundings) {
    this.#server = server;
    this.#around = around;
  }

  openCustomDocument(uri: vscode.Uri): vscode.CustomDocument {
    return { uri, dispose: () => undefined };
  }

  async resolveCustomEditor({ uri }: vscode.CustomDocument, panel: vscode.WebviewPanel): Promise<void> {
    const content = new PreviewContent(panel.webview, this.#server, this.#around, () => undefined);
    panel.onDidDispose(() => {
      content.dispose();
    });
    await content.show(uri);
  }
}
