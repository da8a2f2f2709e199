import type { SessionPorts } from '../session/sessionPorts';

/** What the server needs of the machine or browser that it runs in; its entry files give it. */
export interface ServerPlatform {
  /** Folders at or below a folder that have a `damper-review.yaml`, as URIs. Never looks into `.git` and `node_modules`. */
  repositoriesBelow(folder: string): Promise<readonly string[]>;
  /** The nearest folder at or above a file that has a `damper-review.yaml`. */
  repositoryAround(file: string): Promise<string | undefined>;
  open(root: string): OpenedPorts;
  /** What this platform cannot do, in sentences for the log; empty where it can do everything. */
  readonly limits: readonly string[];
  close(): Promise<void>;
}

export interface OpenedPorts {
  readonly ports: SessionPorts;
  readonly close: () => void;
}
