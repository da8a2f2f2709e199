/** A place in a file, counted from 1. `column` counts characters; 1 where the whole line is meant. */
export interface SourcePosition {
  readonly line: number;
  readonly column: number;
  readonly endLine?: number;
  readonly endColumn?: number;
}

/** Something wrong in a file, said so that it can be mended without looking anything up. */
export interface FileProblem {
  /** Rule id of the catalogue in src/review/rules, such as `file-invalid`, `unit-mismatch`, `unreadable`. */
  readonly rule: string;
  readonly file: string;
  readonly position: SourcePosition;
  /** Name of the CSV column or YAML key, where there is one. */
  readonly column?: string;
  /** The offending text as it stands in the file, cut to 80 characters. Hostile: escape it where it is shown. */
  readonly value?: string;
  /** One sentence that states the fault, without file, line or remedy. */
  readonly message: string;
  /** What to do about it, one sentence. */
  readonly remedy: string;
}

/** Where the engine keeps how many calls an error remembers; absent outside of V8. */
const engine = Error as { stackTraceLimit?: number | undefined };

/**
 * Thrown where a file cannot be used at all; holds every problem found up to there, at least one. It remembers no calls: it tells
 * of a file and not of the program, a repository whose large files were not fetched throws one for every log, and to
 * remember takes 0.015 ms.
 */
export class FileFault extends Error {
  override readonly name = 'FileFault';
  constructor(readonly problems: readonly FileProblem[]) {
    const limit = engine.stackTraceLimit;
    engine.stackTraceLimit = 0;
    super(problems.map((p) => `${p.file}:${p.position.line}: ${p.message}`).join('\n'));
    engine.stackTraceLimit = limit;
  }
}
