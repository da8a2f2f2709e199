import { KeptJobs } from './keptJobs';
import type { LogReport } from './reduceLogJob';

/**
 * Readings of large logs under way, for a session whose runs are given up by every edit: a log is read to its end once, however often. Both
 * jobs are of a path; the state is the file as it was last looked at, and the mapping that it is read by.
 */
export class LogReadings {
  readonly #underWay = new Set<string>();
  readonly digests = new KeptJobs<string>(this.#underWay);
  readonly reports = new KeptJobs<LogReport>(this.#underWay);

  /** The file that is being read; of several the one that was begun first. */
  get file(): string | undefined {
    const [oldest] = this.#underWay;
    return oldest;
  }

  /** Ends what is being read of a file that has changed or is gone. */
  fileChanged(path: string): void {
    this.digests.end(path);
    this.reports.end(path);
  }

  /** Ends what is being read: the user does not want to wait for it. */
  stop(): void {
    this.digests.stop();
    this.reports.stop();
  }

  close(): void {
    this.digests.close();
    this.reports.close();
  }
}
