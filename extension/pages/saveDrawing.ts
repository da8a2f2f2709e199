import * as vscode from 'vscode';
import type { SaveFormat } from '../../src/protocol/pageMessages';

const KINDS: Readonly<Record<SaveFormat, string>> = { svg: 'SVG drawing', png: 'PNG picture', csv: 'CSV table' };

/** Asks where by the editor's own dialog, then writes the whole file at once. */
export async function saveDrawing(format: SaveFormat, name: string, data: string): Promise<void> {
  const folder = vscode.workspace.workspaceFolders?.[0]?.uri;
  const proposed = `${name.replace(/[^\w.-]+/g, '-').replace(/^[-.]+|-+$/g, '') || 'chart'}.${format}`;
  const target = await vscode.window.showSaveDialog({
    ...(folder !== undefined && { defaultUri: vscode.Uri.joinPath(folder, proposed) }),
    filters: { [KINDS[format]]: [format] },
    title: `Save ${KINDS[format]}`,
  });
  if (target === undefined) return;
  try {
    await vscode.workspace.fs.writeFile(target, bytesOf(format, data));
    void vscode.window.showInformationMessage(`Saved ${target.path.slice(target.path.lastIndexOf('/') + 1)}.`);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    void vscode.window.showErrorMessage(`The drawing was not saved: ${why} Choose another folder.`);
  }
}

function bytesOf(format: SaveFormat, data: string): Uint8Array {
  if (format !== 'png') return new TextEncoder().encode(data);
  return Uint8Array.from(atob(data), (character) => character.charCodeAt(0));
}
