import type { Gunzip } from '../ports/services';
import { isPacked } from './expandedLog';

/** What stands in the first bytes of logs, without waiting. */
export class LogStarts {
  readonly #gunzip: Gunzip;
  #expand: ((packed: Uint8Array) => Uint8Array | undefined) | undefined;
  #loading: Promise<void> | undefined;

  constructor(gunzip: Gunzip) {
    this.#gunzip = gunzip;
  }

  /** Has what expands them loaded, where the platform has any. */
  load(): Promise<void> {
    return (this.#loading ??= this.#load());
  }

  /** @param start undefined where it is not at hand @returns undefined also of a packed one until what expands it is loaded, which this begins */
  expanded(file: string, start: Uint8Array | undefined): Uint8Array | undefined {
    if (start === undefined || !isPacked(file)) return start;
    if (this.#expand === undefined) void this.load();
    return this.#expand?.(start);
  }

  async #load(): Promise<void> {
    this.#expand = await this.#gunzip.starter?.();
  }
}
