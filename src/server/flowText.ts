import type { Lines } from './lines';

/**
 * Index of the line that opened the outermost brace or bracket still open where a line begins; that line itself where none is. A text that is
 * only half written ends a brace that was never closed: what lies within must be indented more than the line that opened it (YAML 1.2.2, 7.4).
 */
export function flowStart(lines: Lines, line: number, firstColumn: number): number {
  let depth = 0;
  let start = line;
  for (let at = 0; at < line; at++) {
    const text = (lines[at] ?? '').slice(firstColumn);
    if (depth > 0 && endsFlow(text, indentOf((lines[start] ?? '').slice(firstColumn)))) depth = 0;
    const before = depth;
    depth = depthAfter(text, depth);
    if (before === 0 && depth > 0) start = at;
  }
  const own = (lines[line] ?? '').slice(firstColumn);
  const isOpen = depth > 0 && !endsFlow(own, indentOf((lines[start] ?? '').slice(firstColumn)));
  return isOpen ? start : line;
}

/** The line as far as it is no comment; what is quoted gives up its braces, commas and colons, so that they part nothing. */
export function structureOf(text: string): string {
  const { comment, quoted } = scan(text, 0);
  const letters = text.split('').map((letter, at) => (quoted.has(at) && /[{}[\],:#]/.test(letter) ? '_' : letter));
  return letters.slice(0, comment).join('');
}

function endsFlow(text: string, indent: number): boolean {
  const rest = text.trimStart();
  return rest !== '' && !/^[\]}#]/.test(rest) && indentOf(text) <= indent;
}

function indentOf(text: string): number {
  return text.length - text.trimStart().length;
}

function depthAfter(text: string, depth: number): number {
  return scan(text, depth).depth;
}

interface Scanned {
  readonly depth: number;
  readonly comment: number | undefined;
  readonly quoted: ReadonlySet<number>;
}

/** Goes along a line: quoted text and comments hold no braces, nor does a plain text in which one stands somewhere in the middle. */
function scan(text: string, before: number): Scanned {
  const quoted = new Set<number>();
  let depth = before;
  let quote = '';
  for (let at = 0; at < text.length; at++) {
    const letter = text[at]!;
    if (quote !== '') {
      quoted.add(at);
      if (quote === '"' && letter === '\\') quoted.add((at += 1));
      else if (letter === quote) quote = '';
      continue;
    }
    if (letter === '#' && (at === 0 || /\s/.test(text[at - 1]!))) return { depth, comment: at, quoted };
    const begins = /(?:^|[:,[{-])\s*$/.test(text.slice(0, at));
    if (begins && (letter === '"' || letter === "'")) quote = letter;
    else if ((letter === '{' || letter === '[') && (begins || depth > 0)) depth += 1;
    else if ((letter === '}' || letter === ']') && depth > 0) depth -= 1;
  }
  return { depth, comment: undefined, quoted };
}
