import type { AbortSignalLike } from './abort';

/** SHA-256, lower-case hex. */
export interface Digest {
  sha256(bytes: Uint8Array): Promise<string>;
  /** Incremental, for content that is never whole in memory. */
  begin(): { update(bytes: Uint8Array): void; hex(): Promise<string> };
}

/** Thrown while expanding: the data end too early, do not expand, or expand to more than any log holds. */
export class GunzipError extends Error {
  override readonly name = 'GunzipError';
  constructor(
    readonly code: 'truncated' | 'damaged' | 'too-large',
    message: string,
  ) {
    super(message);
  }
}

/** Expands gzip chunk by chunk. Throws GunzipError on truncated, damaged or overlarge input. */
export interface Gunzip {
  gunzip(chunks: AsyncIterable<Uint8Array>): AsyncIterable<Uint8Array>;
  /**
   * What expands the start of a log without waiting, where the platform can: given the first packed bytes it gives what stands in them, and
   * undefined where they do not expand. For thousands of logs of which only the head is asked.
   */
  starter?(): Promise<(packed: Uint8Array) => Uint8Array | undefined>;
}

export interface Clock {
  /** Today's date in UTC, `YYYY-MM-DD`; decides whether a waiver or a calibration has run out. */
  today(): string;
}

/** Keeps derived data between runs, outside the work tree. Damaged or absent entries read as undefined; failures to write are silent. */
export interface DerivedStore {
  get(key: string): Promise<Uint8Array | undefined>;
  put(key: string, value: Uint8Array): Promise<void>;
}

/** Runs a job elsewhere (a worker thread). Rejects with AbortedError when the signal fires. */
export interface Offload<Request, Result> {
  run(request: Request, signal?: AbortSignalLike): Promise<Result>;
}

/** Progress of long work: what is being done, and how much of it is done, 0 to 1 (undefined where unknown). */
export type Progress = (what: string, share: number | undefined) => void;
