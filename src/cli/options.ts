import { CommandFailure } from './failure';

/** What standard output and `--report` files can hold. */
export const FORMATS = ['text', 'json', 'markdown', 'html'] as const;
export type Format = (typeof FORMATS)[number];

export const FAIL_ON = ['undecided', 'fail', 'never'] as const;
export type FailOn = (typeof FAIL_ON)[number];

export interface ReportRequest {
  readonly format: Format;
  readonly file: string;
}

function isFormat(text: string): text is Format {
  return (FORMATS as readonly string[]).includes(text);
}

/** Reads one `--report FORMAT=FILE`. Throws CommandFailure where it does not fit. */
export function parseReport(text: string): ReportRequest {
  const at = text.indexOf('=');
  const format = at < 0 ? text : text.slice(0, at);
  const file = at < 0 ? '' : text.slice(at + 1);
  if (!isFormat(format) || file === '')
    throw new CommandFailure(
      `--report wants FORMAT=FILE with FORMAT one of ${FORMATS.join(', ')}, such as html=report.html; got "${text}".`,
    );
  return { format, file };
}

export function parseFormat(text: string): Format {
  if (!isFormat(text)) throw new CommandFailure(`--format is one of ${FORMATS.join(', ')}; got "${text}".`);
  return text;
}

export function parseFailOn(text: string): FailOn {
  const found = FAIL_ON.find((value) => value === text);
  if (found === undefined) throw new CommandFailure(`--fail-on is one of ${FAIL_ON.join(', ')}; got "${text}".`);
  return found;
}
