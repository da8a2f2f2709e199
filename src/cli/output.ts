import { CommandFailure } from './failure';
import { writeReport } from './writeReport';
import type { OutputOptions } from './program';
import type { DocumentFormat, ReviewFormat } from './options';

/** Content whole, or in parts where it may be longer than a string can be. */
export type Content = string | Iterable<string>;

/** Gives the content of one format; `colour` and `width` matter to text alone. `file` is where a report goes, for what lies beside it. */
export type Renderer<Format extends ReviewFormat = DocumentFormat> = (
  format: Format,
  terminal: { readonly colour: boolean; readonly width: number },
  file?: string,
) => Promise<Content> | Content;

const WIDTH_WITHOUT_TERMINAL = 100;

/** Prints the asked format to standard output and writes each report; says on standard error where the reports are. */
export async function deliver<Format extends ReviewFormat>(
  options: OutputOptions<Format>,
  render: Renderer<Format>,
): Promise<void> {
  const plain = { colour: false, width: WIDTH_WITHOUT_TERMINAL };
  const terminal = terminalOf(options);
  const content = await render(options.format, options.format === 'text' ? terminal : plain);
  if (typeof content === 'string') await print(content.endsWith('\n') ? content : `${content}\n`);
  else for (const part of content) if (!(await print(part))) break;
  for (const { format, file } of options.report) {
    const written = writeReport(file, await render(format, plain, file));
    process.stderr.write(`${NAMES[format]} report: ${written}\n`);
  }
}

/** Whether any of these formats was asked for, as the output or as a report. */
export function showsAny<Format extends ReviewFormat>(
  { format, report }: OutputOptions<Format>,
  formats: readonly Format[],
): boolean {
  return formats.includes(format) || report.some((one) => formats.includes(one.format));
}

/** Formats as people write them. */
const NAMES: Readonly<Record<ReviewFormat, string>> = {
  text: 'Text',
  json: 'JSON',
  markdown: 'Markdown',
  html: 'HTML',
  sarif: 'SARIF',
  junit: 'JUnit',
  github: 'Annotations',
  gitlab: 'Code quality',
};

/** How wide the terminal is, and whether text on it is coloured. */
export function terminalOf(options: { readonly color?: boolean }): {
  readonly colour: boolean;
  readonly width: number;
} {
  return {
    colour: wantsColour(options),
    width: process.stdout.isTTY ? process.stdout.columns : WIDTH_WITHOUT_TERMINAL,
  };
}

/** https://no-color.org: any non-empty NO_COLOR turns colour off, unless the user asks for it on the command line. */
function wantsColour(options: Pick<OutputOptions, 'color'>): boolean {
  if (options.color !== undefined && process.argv.some((word) => word === '--color' || word === '--no-color'))
    return options.color;
  return process.stdout.isTTY && (process.env['NO_COLOR'] ?? '') === '';
}

/**
 * Waits until standard output took it all: a pipe may take a large document in parts. A closed pipe is the reader's wish.
 * @returns false where the reader has gone. @throws Error where it cannot be written, such as to a full disk
 */
export function print(text: string | Uint8Array): Promise<boolean> {
  return new Promise((resolve, reject) => {
    // Whoever does not listen ends with the stream's error; it comes after what the writing itself is told.
    const listener = (): void => undefined;
    process.stdout.once('error', listener);
    process.stdout.write(text, (error: NodeJS.ErrnoException | null | undefined) => {
      if (error === null || error === undefined) {
        process.stdout.off('error', listener);
        resolve(true);
      } else if (error.code === 'EPIPE' || error.code === 'ERR_STREAM_DESTROYED') resolve(false);
      else reject(new CommandFailure(`Standard output took no more: ${error.message}`));
    });
  });
}
