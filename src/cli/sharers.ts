import { availableParallelism } from 'node:os';
import { WorkerOffload } from '../platform/node/workerOffload';
import type { TextOptions } from '../reports/text';
import type { KeptDocument } from '../session/keptCells';
import type { ShareJob, Sharers } from '../session/shareOut';

/** Where a thread finds the repository, and how it tells of results. */
export interface ShareSetting {
  readonly root: string;
  readonly useCache: boolean;
  readonly form: TextOptions;
}

/** What crosses to a thread that takes a share of a review. */
export interface SettingAndJob {
  readonly setting: ShareSetting;
  readonly job: ShareJob;
}

const MOST_THREADS = 3;
const FEWEST_RESULTS = 200;

/** A thread for every core but this one's; each starts with its first share. */
export function sharersOf(setting: ShareSetting): Sharers & { close(): Promise<void> } {
  const entry = new URL('./shareWorker.mjs', import.meta.url);
  const count = Math.min(MOST_THREADS, availableParallelism() - 1);
  const offloads = Array.from({ length: count }, () => new WorkerOffload<SettingAndJob, KeptDocument>(entry, 1));
  return {
    threads: offloads.map((offload) => ({ run: (job, signal) => offload.run({ setting, job }, signal) })),
    fewest: FEWEST_RESULTS,
    turn: () =>
      new Promise((resolve) => {
        setImmediate(resolve);
      }),
    close: async () => {
      await Promise.all(offloads.map((offload) => offload.close()));
    },
  };
}
