import { writeReport } from './writeReport';
import type { OutputOptions } from './program';
import type { DocumentFormat, ReviewFormat } from './options';

/** Gives the content of one format; `colour` and `width` matter to text alone. `file` is where a report goes, for what lies beside it. */
export type Renderer<Format extends ReviewFormat = DocumentFormat> = (
  format: Format,
  terminal: { readonly colour: boolean; readonly width: number },
  file?: string,
) => Promise<string> | string;

const WIDTH_WITHOUT_TERMINAL = 100;

/** Prints the asked format to standard output and writes each report; says on standard error where the reports are. */
export async function deliver<Format extends ReviewFormat>(
  options: OutputOptions<Format>,
  render: Renderer<Format>,
): Promise<void> {
  const plain = { colour: false, width: WIDTH_WITHOUT_TERMINAL };
  const terminal = terminalOf(options);
  const content = await render(options.format, options.format === 'text' ? terminal : plain);
  await print(content.endsWith('\n') ? content : `${content}\n`);
  for (const { format, file } of options.report) {
    const written = writeReport(file, await render(format, plain, file));
    process.stderr.write(`${NAMES[format]} report: ${written}\n`);
  }
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

/** Waits until standard output took it all: a pipe may take a large document in parts. A closed pipe is the reader's wish. */
export function print(text: string | Uint8Array): Promise<void> {
  return new Promise((resolve, reject) => {
    process.stdout.once('error', (error: NodeJS.ErrnoException) => {
      if (error.code === 'EPIPE') resolve();
      else reject(error);
    });
    process.stdout.write(text, () => {
      resolve();
    });
  });
}
