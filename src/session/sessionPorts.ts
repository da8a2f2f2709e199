import type { RepositoryFiles } from '../ports/repositoryFiles';
import type { Clock, DerivedStore, Digest, Gunzip, Offload } from '../ports/services';
import type { KeptPort } from './keptStore';
import type { LogReadings } from './logReadings';
import type { LogReport, LogRequest } from './reduceLogJob';

/** Everything that a session reaches of the outside. */
export interface SessionPorts {
  readonly files: RepositoryFiles;
  readonly digest: Digest;
  readonly gunzip: Gunzip;
  readonly clock: Clock;
  /** Keeps reduced logs between runs; without it every run reads its logs. */
  readonly store?: DerivedStore;
  /** Keeps what was told of results between runs; without it every run judges them. */
  readonly kept?: KeptPort;
  /** Reads logs elsewhere, from the same files as `files`; without it they are read here. */
  readonly logs?: Offload<LogRequest, LogReport>;
  /** Digests large logs elsewhere, by path and as `digestOfSource` does, so that whoever waits for the session's thread does not wait for them. */
  readonly digests?: Offload<string, string>;
  /** Lets the reading of a large log outlive the run that asked for it; without it a run that is given up gives up its readings. */
  readonly readings?: LogReadings;
}

export interface SessionOptions {
  /** How many results are worked on at a time, 4 if absent. */
  readonly parallel?: number;
}
