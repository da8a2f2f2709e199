import type { FileProblem, SourcePosition } from './problem';

/** Longest piece of a file that a problem quotes. */
const LONGEST_VALUE = 80;

/** The offending text as a problem may quote it: one line, cut to 80 characters. Still hostile: escape it where it is shown. */
export function quotedValue(text: string): string {
  const line = text.split(/\r?\n/, 1)[0] ?? '';
  return line.length <= LONGEST_VALUE ? line : `${line.slice(0, LONGEST_VALUE - 1)}…`;
}

/** The place of a whole line. */
export function wholeLine(line: number): SourcePosition {
  return { line, column: 1 };
}

/** What a reader collects: keeps the first faults of a file, and counts the rest, so that a broken file does not flood the review. */
export class ProblemList {
  private readonly kept: FileProblem[] = [];
  private more = 0;
  private lastPosition: SourcePosition = wholeLine(1);

  constructor(
    private readonly file: string,
    private readonly rule: string,
    private readonly most = 50,
  ) {}

  add(problem: Omit<FileProblem, 'file' | 'rule'> & { readonly rule?: string }): void {
    const { value, ...rest } = problem;
    this.push({
      rule: this.rule,
      ...rest,
      file: this.file,
      ...(value === undefined ? {} : { value: quotedValue(value) }),
    });
  }

  push(problem: FileProblem): void {
    if (this.kept.length < this.most) this.kept.push(problem);
    else this.more++;
    this.lastPosition = problem.position;
  }

  get count(): number {
    return this.kept.length + this.more;
  }

  all(): FileProblem[] {
    if (this.more === 0) return [...this.kept];
    const message = `${this.more} more faults of this file are not listed.`;
    const remedy = 'Mend the ones listed first; they often share one cause.';
    return [...this.kept, { rule: this.rule, file: this.file, position: this.lastPosition, message, remedy }];
  }
}
