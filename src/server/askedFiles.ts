import type { Connection } from 'vscode-languageserver';
import { bytesOfBase64 } from '../platform/web/base64';
import type { FileAsker } from '../platform/web/requestedFiles';
import { FilePortError } from '../ports/repositoryFiles';
import { FILE_REQUEST, type FileContent, type FileFacts, type FileListing } from '../protocol/requests';

/** Files by requests to the client, which alone reaches the editor's virtual file systems. */
export function askedFiles(connection: Connection): FileAsker {
  return {
    list: (uri) => connection.sendRequest<FileListing>(FILE_REQUEST.list, { uri }),
    stat: async (uri) => (await connection.sendRequest<FileFacts | null>(FILE_REQUEST.stat, { uri })) ?? undefined,
    read: async (uri, path, limit) => {
      const answer = await connection.sendRequest<FileContent>(FILE_REQUEST.read, { uri, limit });
      if (answer.kind === 'refused') throw new FilePortError(answer.code, path, answer.message);
      return 'bytes' in answer ? answer.bytes : bytesOfBase64(answer.base64);
    },
  };
}
