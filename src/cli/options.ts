import { CommandFailure } from './failure';

/** What standard output and `--report` files can hold, whatever the command. */
export const DOCUMENT_FORMATS = ['text', 'json', 'markdown', 'html'] as const;
export type DocumentFormat = (typeof DOCUMENT_FORMATS)[number];

/** What code hosts and build servers read of a review, besides. */
export const REVIEW_FORMATS = [...DOCUMENT_FORMATS, 'sarif', 'junit', 'github', 'gitlab'] as const;
export type ReviewFormat = (typeof REVIEW_FORMATS)[number];

export const FAIL_ON = ['undecided', 'fail', 'never'] as const;
export type FailOn = (typeof FAIL_ON)[number];

export interface ReportRequest<Format extends ReviewFormat = DocumentFormat> {
  readonly format: Format;
  readonly file: string;
}

/** Reads one `--report FORMAT=FILE`, FORMAT one of `formats`. Throws CommandFailure where it does not fit. */
export function parseReport<Format extends ReviewFormat>(
  text: string,
  formats: readonly Format[],
): ReportRequest<Format> {
  const at = text.indexOf('=');
  const name = at < 0 ? text : text.slice(0, at);
  const format = formats.find((known) => known === name);
  const file = at < 0 ? '' : text.slice(at + 1);
  if (format === undefined || file === '')
    throw new CommandFailure(
      `--report wants FORMAT=FILE with FORMAT one of ${formats.join(', ')}, such as html=report.html; got "${text}".`,
    );
  return { format, file };
}

export function parseFormat<Format extends ReviewFormat>(text: string, formats: readonly Format[]): Format {
  const format = formats.find((known) => known === text);
  if (format === undefined) throw new CommandFailure(`--format is one of ${formats.join(', ')}; got "${text}".`);
  return format;
}

export function parseFailOn(text: string): FailOn {
  const found = FAIL_ON.find((value) => value === text);
  if (found === undefined) throw new CommandFailure(`--fail-on is one of ${FAIL_ON.join(', ')}; got "${text}".`);
  return found;
}
