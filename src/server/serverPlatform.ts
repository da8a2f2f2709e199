import type { RepositoryFiles } from '../ports/repositoryFiles';
import type { Revisions } from '../ports/revisions';
import type { SessionPorts } from '../session/sessionPorts';

/** What the server needs of the machine or browser that it runs in; its entry files give it. */
export interface ServerPlatform {
  /** Folders at or below a folder that have a `damper-review.yaml`, as URIs. Never looks into `.git` and `node_modules`. */
  repositoriesBelow(folder: string): Promise<readonly string[]>;
  /** The nearest folder at or above a file that has a `damper-review.yaml`. */
  repositoryAround(file: string): Promise<string | undefined>;
  open(root: string): OpenedPorts;
  /** What cannot be done in an open folder, in sentences for the log; empty where everything can. */
  limitsOf(folder: string): readonly string[];
  close(): Promise<void>;
}

export interface OpenedPorts {
  readonly ports: SessionPorts;
  /** Absent where there is none, or where no program may be started. */
  readonly history?: {
    revisions(): Promise<Revisions>;
    /** Ports of a session on other files. @param isElsewhere whether a file is another than the work tree's */
    portsFor(files: RepositoryFiles, isElsewhere: (path: string) => boolean): SessionPorts;
  };
  readonly close: () => void;
}
