import { escapeTerminal } from '../text/terminal';

/** How a piece of text is painted where colour is asked for. */
export type Paint = 'strong' | 'quiet' | 'fail' | 'undecided' | 'pass';
const CODES: Readonly<Record<Paint, string>> = {
  strong: '1',
  quiet: '2',
  fail: '1;31',
  undecided: '1;33',
  pass: '1;32',
};

/** Lays text out for a terminal. Everything it is given is escaped; the codes for colour are its own. */
export class TerminalLayout {
  constructor(
    private readonly colour: boolean,
    private readonly width: number,
  ) {}

  paint(text: string, paint: Paint | undefined): string {
    return this.colour && paint !== undefined ? `\u001b[${CODES[paint]}m${text}\u001b[0m` : text;
  }

  /**
   * A paragraph broken at blanks. `lead` stands before the first line, and all lines start where the text after it does.
   * Words longer than a line stay whole, so that a path can be copied.
   */
  paragraph(indent: number, lead: string, text: string, paint?: Paint, leadPaint?: Paint): string[] {
    const start = ' '.repeat(indent);
    const hang = ' '.repeat(lead.length);
    const room = Math.max(20, this.width - indent - lead.length);
    return wrapped(escapeTerminal(text), room).map((line, i) => {
      const first = i === 0 ? this.paint(lead, leadPaint) : hang;
      return `${start}${first}${this.paint(line, paint)}`;
    });
  }

  /** Columns of figures, right-aligned under their heads, in as many even blocks as the width asks for; the row names stand before each. */
  columns(indent: number, names: readonly string[], columns: readonly (readonly string[])[]): string[] {
    const cells = columns.map((column) => column.map(escapeTerminal));
    const nameWidth = Math.max(...names.map(textWidth));
    const widths = cells.map((column) => Math.max(...column.map(textWidth)) + 2);
    const room = Math.max(1, Math.floor((this.width - indent - nameWidth) / Math.max(...widths)));
    const perBlock = Math.ceil(cells.length / Math.ceil(cells.length / room));
    const lines: string[] = [];
    for (let from = 0; from < cells.length; from += perBlock) {
      if (from > 0) lines.push('');
      names.forEach((name, row) => {
        const figures = cells
          .slice(from, from + perBlock)
          .map((column, i) => (column[row] ?? '').padStart(widths[from + i]!));
        lines.push(`${' '.repeat(indent)}${name.padEnd(nameWidth)}${figures.join('')}`.trimEnd());
      });
    }
    return lines;
  }
}

function wrapped(text: string, room: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && textWidth(line) + 1 + textWidth(word) > room) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, line];
}

function textWidth(text: string): number {
  return Array.from(text).length;
}
