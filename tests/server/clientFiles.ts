import type { ProtocolConnection } from 'vscode-languageserver/node';
import type { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import {
  FILE_REQUEST,
  type FileContent,
  type FileFacts,
  type FileListing,
  type FileReadParams,
  type UriParams,
} from '../../src/protocol/requests';

/** Answers `fs/*` as a client on a virtual file system does. */
export function answerFileRequests(client: ProtocolConnection, folders: ReadonlyMap<string, MemoryFiles>): void {
  const find = (uri: string): { files: MemoryFiles; path: string } => {
    const root = [...folders.keys()]
      .filter((one) => uri === one || uri.startsWith(`${one}/`))
      .sort((a, b) => b.length - a.length)[0];
    if (root === undefined) throw new Error(`${uri} lies in none of the open folders.`);
    return { files: folders.get(root)!, path: decodeURIComponent(uri.slice(root.length + 1)) };
  };
  client.onRequest(FILE_REQUEST.list, async ({ uri }: UriParams): Promise<FileListing> => {
    const at = find(uri);
    const listed = (await at.files.list(at.path)).files;
    const start = at.path === '' ? 0 : at.path.length + 1;
    return { files: listed.map((file) => ({ ...file, path: file.path.slice(start) })), problems: [] };
  });
  client.onRequest(FILE_REQUEST.stat, async ({ uri }: UriParams): Promise<FileFacts | null> => {
    const at = find(uri);
    return (await at.files.stat(at.path)) ?? null;
  });
  client.onRequest(FILE_REQUEST.read, async ({ uri, limit }: FileReadParams): Promise<FileContent> => {
    const at = find(uri);
    const facts = await at.files.stat(at.path);
    if (facts === undefined) return { kind: 'refused', code: 'not-found', message: 'does not exist' };
    if (facts.size > limit) return { kind: 'refused', code: 'too-large', message: `has ${facts.size} bytes` };
    return { kind: 'content', base64: Buffer.from(await at.files.read(at.path)).toString('base64') };
  });
}
