import { METHOD_VERSION } from '../analysis/method';
import type { DerivedStore } from '../ports/services';
import { isKeptDocument, type KeptDocument } from './keptDocument';
import type { QueryEngine } from './queryEngine';

/** Where values of queries are kept between processes. */
export interface KeptPort {
  readonly store: DerivedStore;
  /** All that they rest on beside the files: the repository's folder, and this very program. */
  readonly key: string;
}

/** Raise it when a kept value changes its form without METHOD_VERSION. */
const KEPT_VERSION = 1;

/** Reads the kept values of a repository once, and writes them again where there is something new. */
export class KeptStore {
  readonly #port: KeptPort | undefined;
  #loaded: Promise<void> | undefined;

  constructor(port: KeptPort | undefined) {
    this.#port = port;
  }

  load(engine: QueryEngine): Promise<void> {
    return (this.#loaded ??= this.#load(engine));
  }

  /**
   * What there is to keep, taken within a run, when everything is of one state; undefined where nothing is new.
   * @param whole whether the whole repository was asked for, so that what nothing asked for is of the past
   */
  draft(engine: QueryEngine, whole: boolean): KeptDocument | undefined {
    return this.#port === undefined || engine.takeKeptNews() === 0 ? undefined : engine.keep(!whole);
  }

  async save(document: KeptDocument | undefined): Promise<void> {
    if (this.#port === undefined || document === undefined) return;
    await this.#port.store.put(keyOf(this.#port), new TextEncoder().encode(JSON.stringify(document)));
  }

  async #load(engine: QueryEngine): Promise<void> {
    const bytes = this.#port && (await this.#port.store.get(keyOf(this.#port)));
    if (bytes === undefined) return;
    try {
      const document: unknown = JSON.parse(new TextDecoder().decode(bytes));
      if (isKeptDocument(document)) engine.takeKept(document);
    } catch {
      // of another form: everything is computed
    }
  }
}

function keyOf({ key }: KeptPort): string {
  return JSON.stringify(['kept', KEPT_VERSION, METHOD_VERSION, key]);
}
