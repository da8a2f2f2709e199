import { MemoryFiles } from '../../../src/platform/memory/memoryFiles';
import type { MemoryStore } from '../../../src/platform/memory/memoryServices';
import { LOGS, openSession, REFERENCES, resultOf, SPECS, workshopFiles } from '../../session/workshop';

/** So many dampers of one spec in memory, each with its log and its committed result, all reduced once. */
export async function fillRepository(
  count: number,
): Promise<{ readonly files: MemoryFiles; readonly store: MemoryStore; readonly edited: string }> {
  const workshop = await workshopFiles();
  const log = new TextDecoder().decode(workshop[LOGS.one]);
  const files = new MemoryFiles();
  for (const path of ['damper-review.yaml', SPECS.front, REFERENCES.front]) files.set(path, workshop[path]!);
  const logs = Array.from({ length: count }, (_, i) => `dampers/B-${i}/build-1/one.testlog.csv`);
  logs.forEach((path, i) => {
    files.set(path, log.replace('serial: F-001', `serial: B-${i}`));
  });
  const { session, store } = openSession(files);
  for (const { path, bytes } of (await session.reduce([])).written) files.set(path, bytes);
  return { files, store, edited: resultOf(logs[count >> 1]!) };
}
