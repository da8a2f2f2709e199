import { join } from 'node:path';
import { writeForceTable } from '../../src/files/writeForceTable';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import { NodeRepositoryWriter } from '../../src/platform/node/nodeRepositoryWriter';
import type { ReducedFile } from '../../src/session/reviewSession';
import { ReviewSession } from '../../src/session/reviewSession';
import { referenceOf } from './samples/adoptReference';
import { BUILDS } from './samples/sampleBuilds';
import { sampleLogs } from './samples/sampleLogs';
import { storeLog } from './samples/storeLog';

/**
 * `npm run samples`: writes the raw logs of samples/ from their seeds, adopts the reference curves from the first approved unit of each
 * kind, and reduces every log. Configuration, specs and README are kept by hand. Run twice, it changes nothing.
 */
const root = join(process.cwd(), 'samples');
const writer = new NodeRepositoryWriter(root);

writeLogs();
for (const build of BUILDS) {
  if (build.adopted === undefined) continue;
  const folder = build.adopted.from ?? `dampers/${build.serial}/build-${build.build}`;
  const results = await reduced([folder]);
  const path = `specs/${build.spec}.refcurve.csv`;
  const reference = referenceOf(
    path,
    results.map(({ result }) => result.table),
    { from: results.map((result) => result.path), on: build.adopted.on, reason: build.adopted.reason },
  );
  await write(path, writeForceTable(reference));
}
for (const { path, bytes } of await reduced(['dampers', 'incoming'])) await write(path, bytes);

function writeLogs(): void {
  for (const log of sampleLogs()) {
    if (storeLog(root, log)) process.stdout.write(`${log.path}\n`);
  }
}

/** A session of its own each time: what was written before is read from the disk again. */
async function reduced(paths: readonly string[]): Promise<readonly ReducedFile[]> {
  const session = new ReviewSession({
    files: new NodeRepositoryFiles(root),
    digest: nodeDigest,
    gunzip: nodeGunzip(),
    clock: { today: () => new Date().toISOString().slice(0, 10) },
  });
  const { written, problems } = await session.reduce(paths);
  if (problems.length > 0) throw new Error(problems.map(({ file, message }) => `${file}: ${message}`).join('\n'));
  return written;
}

async function write(path: string, bytes: Uint8Array): Promise<void> {
  await writer.writeAtomic(path, bytes);
  process.stdout.write(`${path}\n`);
}
