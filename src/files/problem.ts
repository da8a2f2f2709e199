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

/** Thrown where a file cannot be used at all; holds every problem found up to there, at least one. */
export class FileFault extends Error {
  override readonly name = 'FileFault';
  constructor(readonly problems: readonly FileProblem[]) {
    super(problems.map((p) => `${p.file}:${p.position.line}: ${p.message}`).join('\n'));
  }
}
