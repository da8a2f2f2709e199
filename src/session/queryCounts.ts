import type { Query } from './query';

/** How often something was done, by query: a name put together for each of tens of thousands of values would cost more than some of the values. */
export class QueryCounts {
  readonly #counts = new Map<Query<unknown>, number>();

  add(query: Query<unknown>): void {
    this.#counts.set(query, (this.#counts.get(query) ?? 0) + 1);
  }

  named(ending: string): [name: string, count: number][] {
    return [...this.#counts].map(([query, count]) => [query.name + ending, count]);
  }
}
