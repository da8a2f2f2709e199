import { METHOD_VERSION } from '../analysis/method';
import type { DerivedStore, Digest } from '../ports/services';
import { decodeKept, encodeKept, type KeptDocument } from './keptDocument';
import { KeptGraph } from './keptGraph';
import { rowBytes } from './keptRowBytes';
import type { QueryEngine } from './queryEngine';

/** Where values of queries are kept between processes. */
export interface KeptPort {
  readonly store: DerivedStore;
  /** All that they rest on beside the files: the repository's folder, and this very program. */
  readonly key: string;
}

/** Raise it when a kept value changes its form without METHOD_VERSION. */
const KEPT_VERSION = 4;

/** A document, and beside it what changed since it was written: after one edit a few hundred bytes are written instead of megabytes. */
type Part = 'whole' | 'change';

/** Reads the kept values of a repository once, and writes them again where there is something new. */
export class KeptStore {
  readonly #port: KeptPort | undefined;
  readonly #digest: Digest;
  #loaded: Promise<void> | undefined;

  constructor(port: KeptPort | undefined, digest: Digest) {
    this.#port = port;
    this.#digest = digest;
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
    const { store } = this.#port;
    if (document.base === '') await store.put(keyOf(this.#port, 'whole'), encodeKept(await this.#withId(document)));
    else await store.put(keyOf(this.#port, 'change'), encodeKept(document));
  }

  async #withId(document: KeptDocument): Promise<KeptDocument> {
    const digest = this.#digest.begin();
    digest.update(new TextEncoder().encode(document.queries.join('\n') + document.texts.whole));
    digest.update(new Uint8Array(document.nodes.buffer));
    for (const { json } of document.values.values()) digest.update(json);
    for (const part of rowBytes(document.rows)) digest.update(part);
    return { ...document, id: await digest.hex() };
  }

  async #load(engine: QueryEngine): Promise<void> {
    try {
      const whole = await this.#read('whole');
      if (whole !== undefined) engine.takeKept(new KeptGraph(whole, await this.#read('change')));
    } catch {
      // of another form: everything is computed
    }
  }

  async #read(part: Part): Promise<KeptDocument | undefined> {
    const bytes = this.#port && (await this.#port.store.get(keyOf(this.#port, part)));
    return bytes && decodeKept(bytes);
  }
}

function keyOf({ key }: KeptPort, part: Part): string {
  return JSON.stringify(['kept', KEPT_VERSION, METHOD_VERSION, part, key]);
}
