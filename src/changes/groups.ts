/** Names joined to groups: what is joined to one of a group is of the group. */
export class Groups {
  readonly #above = new Map<string, string>();

  join(a: string, b: string): void {
    const [top, other] = [this.groupOf(a), this.groupOf(b)];
    if (top !== other) this.#above.set(other, top);
  }

  /** One of the group, the same for all of it. A name that was never joined is a group by itself. */
  groupOf(name: string): string {
    let top = name;
    for (let above = this.#above.get(top); above !== undefined; above = this.#above.get(top)) top = above;
    // The way is walked once: from here on it is one step.
    for (let at = name; at !== top;) {
      const next = this.#above.get(at)!;
      this.#above.set(at, top);
      at = next;
    }
    return top;
  }
}
