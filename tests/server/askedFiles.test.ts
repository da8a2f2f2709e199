import type { Connection } from 'vscode-languageserver';
import { describe, expect, it } from 'vitest';
import { askedFiles } from '../../src/server/askedFiles';
import type { FileContent } from '../../src/protocol/requests';

/** A client that answers every question with this, as a message between threads carries it. */
function clientGiving(content: FileContent): Connection {
  return { sendRequest: () => Promise.resolve(structuredClone(content)) } as unknown as Connection;
}

describe('files from the client', () => {
  it.each<FileContent>([
    { kind: 'content', bytes: Uint8Array.of(1, 2, 255) },
    { kind: 'content', base64: 'AQL/' },
  ])('come as bytes or as base64: %o', async (content) => {
    expect(await askedFiles(clientGiving(content)).read('vfs:/a.csv', 'a.csv', 10)).toEqual(Uint8Array.of(1, 2, 255));
  });

  it('are refused in the client’s words', async () => {
    const asker = askedFiles(clientGiving({ kind: 'refused', code: 'too-large', message: 'The file has 11 bytes.' }));
    await expect(asker.read('vfs:/a.csv', 'a.csv', 10)).rejects.toMatchObject({
      name: 'FilePortError',
      code: 'too-large',
      path: 'a.csv',
    });
  });
});
