import type { Finding } from '../review/finding';
import type { JudgedResult, Verdict } from '../review/judgedResult';
import type { ReviewChanges } from '../session/liveReview';

const VERDICT_ORDER: Readonly<Record<Verdict, number>> = { fail: 0, undecided: 1, pass: 2 };

/** What the reviews of a repository found so far, kept up to date by their changes, so that one edit costs what it touches. */
export class ReviewState {
  /** By entry. */
  readonly #results = new Map<string, JudgedResult>();
  /** Entries by the files that they are of: the result, and the logs behind it. */
  readonly #entriesOf = new Map<string, Set<string>>();
  /** By source. */
  readonly #findings = new Map<string, readonly Finding[]>();
  /** Sources of findings by the files that they stand in. */
  readonly #sourcesOf = new Map<string, Set<string>>();
  #sorted: readonly JudgedResult[] | undefined;

  /** Takes changes in. @returns files whose findings or results may be other than before */
  apply({ results, findings }: ReviewChanges): ReadonlySet<string> {
    const touched = new Set<string>();
    if (results.size > 0) this.#sorted = undefined;
    for (const [entry, result] of results) {
      const before = this.#results.get(entry);
      if (before !== undefined) this.#dropEntry(entry, before);
      if (result !== undefined) this.#addEntry(entry, result);
      for (const one of [before, result]) if (one !== undefined) touched.add(one.file);
    }
    for (const [source, now] of findings) {
      for (const { file } of this.#findings.get(source) ?? []) {
        this.#sourcesOf.get(file)?.delete(source);
        touched.add(file);
      }
      if (now.length === 0) this.#findings.delete(source);
      else this.#findings.set(source, now);
      for (const { file } of now) {
        addTo(this.#sourcesOf, file, source);
        touched.add(file);
      }
    }
    return touched;
  }

  /** Every judged result, failures first, by file within. */
  get results(): readonly JudgedResult[] {
    this.#sorted ??= [...this.#results.values()].sort(
      (a, b) => VERDICT_ORDER[a.verdict] - VERDICT_ORDER[b.verdict] || (a.file < b.file ? -1 : a.file > b.file ? 1 : 0),
    );
    return this.#sorted;
  }

  /** The result of this file, else the one that this log is behind. */
  resultOf(path: string): JudgedResult | undefined {
    let found: JudgedResult | undefined;
    for (const entry of this.#entriesOf.get(path) ?? []) {
      const result = this.#results.get(entry);
      if (result?.file === path) return result;
      found ??= result;
    }
    return found;
  }

  /** Findings of a file by line, each once: many results tell one fault of their reference. */
  findingsOf(path: string): readonly Finding[] {
    const found = new Map<string, Finding>();
    for (const source of this.#sourcesOf.get(path) ?? [])
      for (const finding of this.#findings.get(source) ?? []) {
        if (finding.file !== path) continue;
        const { rule, position, message } = finding;
        const key = JSON.stringify([rule, position.line, position.column, message]);
        const before = found.get(key);
        // A finding that counts somewhere must not be hidden by its waived twin.
        if (before === undefined || (before.waived !== undefined && finding.waived === undefined))
          found.set(key, finding);
      }
    return [...found.values()].sort(
      (a, b) =>
        a.position.line - b.position.line ||
        a.position.column - b.position.column ||
        (a.rule < b.rule ? -1 : a.rule > b.rule ? 1 : 0) ||
        (a.message < b.message ? -1 : 1),
    );
  }

  #addEntry(entry: string, result: JudgedResult): void {
    this.#results.set(entry, result);
    for (const path of [result.file, ...result.logs]) addTo(this.#entriesOf, path, entry);
  }

  #dropEntry(entry: string, result: JudgedResult): void {
    this.#results.delete(entry);
    for (const path of [result.file, ...result.logs]) this.#entriesOf.get(path)?.delete(entry);
  }
}

function addTo(map: Map<string, Set<string>>, key: string, value: string): void {
  const found = map.get(key);
  if (found === undefined) map.set(key, new Set([value]));
  else found.add(value);
}
