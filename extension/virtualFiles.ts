import * as vscode from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { FILE_REQUEST, type FileContent, type FileFacts, type FileListing } from '../src/protocol/requests';
import type { FileReadParams, UriParams } from '../src/protocol/requests';

const LEFT_OUT = new Set(['.git', 'node_modules']);
/** Answers of one folder that are awaited at once. */
const AT_ONCE = 16;

/** How a file's bytes go into a message to the server. */
export type PackBytes = (bytes: Uint8Array) => Extract<FileContent, { kind: 'content' }>;

/**
 * Gives the server, which reaches a disk at most, the files of the open folders through the editor; nothing outside them.
 * @param pack what the server's connection carries: bytes as they are, or text where messages are JSON
 */
export function serveFiles(
  client: BaseLanguageClient,
  disposables: vscode.ExtensionContext['subscriptions'],
  pack: PackBytes,
): void {
  disposables.push(
    client.onRequest(FILE_REQUEST.list, ({ uri }: UriParams) => list(insideWorkspace(uri))),
    client.onRequest(FILE_REQUEST.stat, ({ uri }: UriParams) => stat(insideWorkspace(uri))),
    client.onRequest(FILE_REQUEST.read, ({ uri, limit }: FileReadParams) => read(insideWorkspace(uri), limit, pack)),
  );
}

function insideWorkspace(text: string): vscode.Uri {
  const uri = vscode.Uri.parse(text, true);
  if (vscode.workspace.getWorkspaceFolder(uri) === undefined)
    throw new Error(`${text} lies in none of the open folders.`);
  return uri;
}

async function stat(uri: vscode.Uri): Promise<FileFacts | null> {
  try {
    const { size, mtime } = await vscode.workspace.fs.stat(uri);
    return { size, modified: mtime };
  } catch (error) {
    if (codeOf(error) === 'not-found') return null;
    throw error;
  }
}

async function read(uri: vscode.Uri, limit: number, pack: PackBytes): Promise<FileContent> {
  try {
    const { size } = await vscode.workspace.fs.stat(uri);
    if (size > limit) return tooLarge(size, limit);
    const bytes = await vscode.workspace.fs.readFile(uri);
    if (bytes.length > limit) return tooLarge(bytes.length, limit);
    return pack(bytes);
  } catch (error) {
    return { kind: 'refused', code: codeOf(error), message: wordsOf(error) };
  }
}

function tooLarge(size: number, limit: number): FileContent {
  return { kind: 'refused', code: 'too-large', message: `The file has ${size} bytes; at most ${limit} are read here.` };
}

async function list(root: vscode.Uri): Promise<FileListing> {
  const files: (FileFacts & { path: string })[] = [];
  const problems: { path: string; message: string }[] = [];
  const folders: [vscode.Uri, string][] = [[root, '']];
  for (let next = folders.pop(); next !== undefined; next = folders.pop()) {
    const [folder, path] = next;
    let entries: [string, vscode.FileType][];
    try {
      entries = await vscode.workspace.fs.readDirectory(folder);
    } catch (error) {
      problems.push({ path, message: wordsOf(error) });
      continue;
    }
    const names: string[] = [];
    for (const [name, type] of entries) {
      if (LEFT_OUT.has(name) || (type & vscode.FileType.SymbolicLink) !== 0) continue;
      if (type === vscode.FileType.Directory) folders.push([vscode.Uri.joinPath(folder, name), `${path}${name}/`]);
      else if (type === vscode.FileType.File) names.push(name);
    }
    for (let from = 0; from < names.length; from += AT_ONCE) {
      const some = names.slice(from, from + AT_ONCE);
      const facts = await Promise.all(some.map((name) => stat(vscode.Uri.joinPath(folder, name)).catch(() => null)));
      facts.forEach((fact, i) => {
        if (fact !== null) files.push({ ...fact, path: `${path}${some[i] ?? ''}` });
      });
    }
  }
  return { files, problems };
}

type RefusedCode = Extract<FileContent, { kind: 'refused' }>['code'];

function codeOf(error: unknown): RefusedCode {
  const code = error instanceof vscode.FileSystemError ? error.code : '';
  return code === 'FileNotFound' ? 'not-found' : code === 'NoPermissions' ? 'denied' : 'io';
}

function wordsOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
