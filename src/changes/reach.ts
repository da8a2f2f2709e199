/** What can be reached from what. */
export class Reach {
  readonly #next = new Map<string, string[]>();

  /** From `a` on to `b`. */
  lead(a: string, b: string): void {
    const known = this.#next.get(a);
    if (known === undefined) this.#next.set(a, [b]);
    else known.push(b);
  }

  /** From each on to the other. */
  join(a: string, b: string): void {
    this.lead(a, b);
    this.lead(b, a);
  }

  /** Everything that is reached from some names, themselves included. */
  from(names: Iterable<string>): ReadonlySet<string> {
    const reached = new Set(names);
    for (const name of reached) for (const next of this.#next.get(name) ?? []) reached.add(next); // a set is walked to its growing end
    return reached;
  }
}
