import type { Clock, DerivedStore } from '../../ports/services';

/** Derived data kept for the life of the process. */
export class MemoryStore implements DerivedStore {
  readonly #values = new Map<string, Uint8Array>();

  get(key: string): Promise<Uint8Array | undefined> {
    return Promise.resolve(this.#values.get(key)?.slice());
  }

  put(key: string, value: Uint8Array): Promise<void> {
    this.#values.set(key, value.slice());
    return Promise.resolve();
  }

  get size(): number {
    return this.#values.size;
  }

  /** Replaces every value, to show what a damaged cache does. */
  damage(change: (value: Uint8Array) => Uint8Array): void {
    for (const [key, value] of this.#values) this.#values.set(key, change(value));
  }
}

/** A clock that stands still. @param date `YYYY-MM-DD` */
export function fixedClock(date: string): Clock {
  return { today: () => date };
}
