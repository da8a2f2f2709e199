import { createHash } from 'node:crypto';
import type { Digest } from '../../ports/services';

/** SHA-256 by Node.js. */
export const nodeDigest: Digest = {
  sha256: (bytes) => Promise.resolve(createHash('sha256').update(bytes).digest('hex')),
  begin() {
    const hash = createHash('sha256');
    return {
      update: (bytes) => {
        hash.update(bytes);
      },
      hex: () => Promise.resolve(hash.digest('hex')),
    };
  },
};
