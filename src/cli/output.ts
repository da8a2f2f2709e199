import { complain, outputTerminal, print } from './standardStreams';
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
    complain(`${NAMES[format]} report: ${written}\n`);
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
  const terminal = outputTerminal();
  return {
    colour: wantsColour(options, terminal !== undefined),
    width: terminal?.columns ?? WIDTH_WITHOUT_TERMINAL,
  };
}

/** https://no-color.org: any non-empty NO_COLOR turns colour off, unless the user asks for it on the command line. */
function wantsColour(options: Pick<OutputOptions, 'color'>, onTerminal: boolean): boolean {
  if (options.color !== undefined && process.argv.some((word) => word === '--color' || word === '--no-color'))
    return options.color;
  return onTerminal && (process.env['NO_COLOR'] ?? '') === '';
}
