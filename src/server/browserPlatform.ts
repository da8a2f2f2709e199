import type { Connection } from 'vscode-languageserver';
import { portableDigest } from '../platform/memory/sha256';
import { MOST_REQUESTED_BYTES } from '../platform/web/requestedFiles';
import { webGunzip } from '../platform/web/webGunzip';
import { requestedPlatform } from './requestedPlatform';
import type { ServerPlatform } from './serverPlatform';

const MOST_EXPANDED = 8 * MOST_REQUESTED_BYTES;

/** The server's own thread is the browser's worker, so logs are read in it; files come from the client. */
export function browserPlatform(connection: Connection): ServerPlatform {
  return requestedPlatform(connection, 'In the browser', {
    digest: portableDigest,
    gunzip: webGunzip(MOST_EXPANDED),
  });
}
