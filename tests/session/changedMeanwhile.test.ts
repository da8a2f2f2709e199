import { expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { AbortSignalLike } from '../../src/ports/abort';
import { LOGS, logText, openSession, resultOf, verdicts, workshopFiles } from './workshop';

const LOG = LOGS.two;

/** Writes another content over the log once it has been read to its end: after its digest, before its reduction. */
class OverwrittenFiles extends MemoryFiles {
  #left = 1;

  override async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    yield* super.open(path, signal);
    if (path !== LOG || this.#left === 0) return;
    this.#left -= 1;
    this.set(LOG, logText({ serial: 'F-002', seed: 2 }));
  }
}

it('keeps no reduction of one content under the digest of another', async () => {
  const files = new OverwrittenFiles(await workshopFiles());
  files.remove(resultOf(LOG));
  const original = await files.read(LOG);
  const { session, store } = openSession(files);
  await session.review([]);
  expect(await files.read(LOG)).not.toEqual(original);
  files.set(LOG, original);
  const later = await openSession(files, { store }).session.review([]);
  expect(verdicts(later)[LOG]).toBe('fail');
});
