import { escapeTerminal } from '../text/terminal';
import { isPlainText } from '../text/visible';

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
  private readonly known = new Map<string, Map<string, readonly string[]>>();

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
    const lines: string[] = [];
    this.addParagraph(lines, indent, lead, text, paint, leadPaint);
    return lines;
  }

  /** The same behind the lines that are there: a review of 2,000 results has twenty thousand paragraphs, most of one line. */
  addParagraph(lines: string[], indent: number, lead: string, text: string, paint?: Paint, leadPaint?: Paint): void {
    const start = ' '.repeat(indent);
    const room = Math.max(20, this.width - indent - lead.length);
    const shown = escapeTerminal(text);
    const head = start + this.paint(lead, leadPaint);
    if (shown.length <= room && !shown.startsWith(' ')) {
      lines.push(head + this.paint(shown, paint));
      return;
    }
    const [first, ...others] = wrapped(shown, room);
    lines.push(head + this.paint(first!, paint));
    const hang = start + ' '.repeat(lead.length);
    for (const line of others) lines.push(hang + this.paint(line, paint));
  }

  /** Lines of a text of some kind that stands again and again, as the advice of a rule does: laid out once. */
  kept(kind: string, text: string, lay: () => readonly string[]): readonly string[] {
    let ofKind = this.known.get(kind);
    if (ofKind === undefined) this.known.set(kind, (ofKind = new Map<string, readonly string[]>()));
    let lines = ofKind.get(text);
    if (lines === undefined) ofKind.set(text, (lines = lay()));
    return lines;
  }

  /** Columns of figures, right-aligned under their heads, in as many even blocks as the width asks for; the row names stand before each. */
  columns(indent: number, names: readonly string[], columns: readonly (readonly string[])[]): string[] {
    // Figures are plain: told of all of them at once.
    const isPlain = isPlainText(columns.flat().join(''));
    const cells = isPlain ? columns : columns.map((column) => column.map(escapeTerminal));
    const widthOf = isPlain ? lengthOf : textWidth;
    const nameWidth = Math.max(...names.map(textWidth));
    const widths = cells.map((column) => column.reduce((most, cell) => Math.max(most, widthOf(cell)), 0) + 2);
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

/** Breaks a text at blanks; those before the first word of a line are dropped. Never empty. */
function wrapped(text: string, room: number): string[] {
  return ASTRAL.test(text) ? wrappedByWords(text, room) : wrappedByUnits(text, room);
}

/** Beyond this a character takes two of JavaScript's units. */
const ASTRAL = /[\u{10000}-\u{10ffff}]/u;

/** Where every character is one unit, a line is cut out of the text at its last blank: a review of 2,000 results has a hundred thousand words. */
function wrappedByUnits(text: string, room: number): string[] {
  const lines: string[] = [];
  for (let start = 0; ;) {
    while (text.startsWith(' ', start)) start += 1;
    const last = text.length - start <= room;
    const fitting = last ? -1 : text.lastIndexOf(' ', start + room);
    const end = last || fitting > start ? fitting : text.indexOf(' ', start);
    if (end < 0) {
      lines.push(text.slice(start));
      return lines;
    }
    lines.push(text.slice(start, end));
    start = end + 1;
  }
}

function wrappedByWords(text: string, room: number): string[] {
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

function lengthOf(text: string): number {
  return text.length;
}

/** Characters (code points) of a text. */
function textWidth(text: string): number {
  return ASTRAL.test(text) ? Array.from(text).length : text.length;
}
