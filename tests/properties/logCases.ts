import type { RandomSource } from '../simulator/random';

/** A generated test log and what its header says, so that the oracle need not read headers. */
export interface LogCase {
  readonly bytes: Uint8Array;
  /** Offset of the first byte behind the header's line. */
  readonly bodyOffset: number;
  readonly headerLine: number;
  readonly delimiter: ',' | ';' | '\t';
  readonly columns: readonly CaseColumn[];
  /** Cells in the header, unused columns included. */
  readonly cells: number;
}

export interface CaseColumn {
  readonly role: 'time' | 'displacement' | 'velocity' | 'force' | 'temperature' | 'adjuster';
  readonly name: string;
  readonly index: number;
  readonly factor: number;
  readonly offset: number;
}

/** How wild a log is: shares of rows that are out of the ordinary, and of bytes that are changed afterwards. */
export interface Wildness {
  /** Numbers in rarer spellings: quoted, signed, with exponents, with more digits than a double holds. */
  readonly spelling: number;
  /** Blank lines, comments, line breaks in quotes. */
  readonly lines: number;
  /** Rows with a fault. */
  readonly faults: number;
  /** Bytes changed, dropped or put in at random. */
  readonly mutations: number;
}

const UNITS = {
  time: [
    ['s', 1, 0],
    ['ms', 1e-3, 0],
    ['min', 60, 0],
  ],
  displacement: [
    ['mm', 1e-3, 0],
    ['m', 1, 0],
    ['[in_i]', 0.0254, 0],
    ['um', 1e-6, 0],
  ],
  velocity: [
    ['mm/s', 1e-3, 0],
    ['m/s', 1, 0],
    ['in/s', 0.0254, 0],
  ],
  force: [
    ['N', 1, 0],
    ['kN', 1e3, 0],
    ['lbf', 4.4482216152605, 0],
  ],
  temperature: [
    ['Cel', 1, 273.15],
    ['K', 1, 0],
    ['degF', 5 / 9, (459.67 * 5) / 9],
  ],
} as const;

export function generateLog(random: RandomSource, rows: number, wildness: Wildness): LogCase {
  const delimiter = random.pick([',', ',', ';', '\t'] as const);
  const mark = delimiter === ',' ? '.' : random.pick(['.', ','] as const);
  const lineEnd = random.pick(['\n', '\r\n']);
  const { header, columns } = generateHeader(random);
  const preamble = random.chance(0.5) ? `# spec: front${lineEnd}# note${lineEnd}` : '';
  const start = `${random.chance(0.2) ? '\uFEFF' : ''}${preamble}${header.join(delimiter)}${lineEnd}`;
  const writer = new RowWriter(random, wildness, delimiter, mark, lineEnd, columns, header.length);
  let body = '';
  for (let row = 0; row < rows; row++) body += writer.row();
  if (random.chance(0.3)) body = body.slice(0, -lineEnd.length);
  const startBytes = new TextEncoder().encode(start);
  const bodyBytes = mutate(random, new TextEncoder().encode(body), wildness.mutations);
  const bytes = new Uint8Array(startBytes.length + bodyBytes.length);
  bytes.set(startBytes);
  bytes.set(bodyBytes, startBytes.length);
  const headerLine = 1 + preamble.split('\n').length - 1;
  return { bytes, bodyOffset: startBytes.length, headerLine, delimiter, columns, cells: header.length };
}

function generateHeader(random: RandomSource): { header: string[]; columns: CaseColumn[] } {
  const roles: (keyof typeof UNITS)[] = ['time', 'displacement', 'force'];
  if (random.chance(0.5)) roles.push('velocity');
  if (random.chance(0.4)) roles.push('temperature');
  const parts: { text: string; column?: Omit<CaseColumn, 'index'> }[] = roles.map((role) => {
    const [unit, factor, offset] = random.pick<readonly [string, number, number]>(UNITS[role]);
    return { text: `${role} [${unit}]`, column: { role, name: role, factor, offset } };
  });
  for (const id of ['LSC', 'R'])
    if (random.chance(0.2))
      parts.push({ text: `${id} [click]`, column: { role: 'adjuster', name: id, factor: 1, offset: 0 } });
  for (const unused of ['note', 'pressure [bar]']) if (random.chance(0.25)) parts.push({ text: unused });
  for (let at = parts.length - 1; at > 0; at--) {
    const other = random.chance(0.3) ? random.integer(0, at) : at;
    [parts[at], parts[other]] = [parts[other]!, parts[at]!];
  }
  const columns = parts.flatMap(({ column }, index) => (column === undefined ? [] : [{ ...column, index }]));
  return { header: parts.map((part) => part.text), columns };
}

class RowWriter {
  private time = 0;

  constructor(
    private readonly random: RandomSource,
    private readonly wildness: Wildness,
    private readonly delimiter: string,
    private readonly mark: string,
    private readonly lineEnd: string,
    private readonly columns: readonly CaseColumn[],
    private readonly cells: number,
  ) {}

  row(): string {
    const { random, wildness } = this;
    const cells = Array.from({ length: this.cells }, (_, index) => this.cell(index));
    if (random.chance(wildness.faults)) this.spoil(cells);
    const before = random.chance(wildness.lines) ? this.otherLine() : '';
    return before + cells.join(this.delimiter) + this.lineEnd;
  }

  private cell(index: number): string {
    const { random } = this;
    const column = this.columns.find((each) => each.index === index);
    if (column === undefined) return this.unusedCell();
    if (column.role === 'time') return this.timeCell();
    if (random.chance(this.wildness.spelling)) return this.spelled(this.rareNumber());
    return this.marked(random.uniform(-3000, 3000).toFixed(random.integer(0, 5)));
  }

  private timeCell(): string {
    this.time += this.random.pick([1, 1, 1, 2, 0.5]);
    const text = this.time.toFixed(this.random.pick([1, 1, 3, 9]));
    return this.random.chance(this.wildness.spelling) ? this.spelled(text) : this.marked(text);
  }

  private unusedCell(): string {
    const { random } = this;
    if (random.chance(this.wildness.lines))
      return random.pick([
        '"two\nlines"',
        '"two\r\nlines"',
        '"a, b; c"',
        '"say ""so"""',
        '"a "", b; ""\t""c"',
        '"# no"',
      ]);
    return random.pick(['', 'ok', '12.5', 'é', '🙂', '#', 'a b']);
  }

  private rareNumber(): string {
    const { random } = this;
    const value = random.normal() * 10 ** random.integer(-12, 12);
    return random.pick([
      () => value.toString(),
      () => value.toExponential(random.integer(0, 20)),
      () => value.toFixed(random.integer(0, 20)),
      () => value.toPrecision(random.integer(1, 25)),
      () => `+${Math.abs(value)}`,
      () => `${random.integer(0, 99999999)}${random.integer(0, 99999999)}.${random.integer(0, 9)}`,
      () => `000${random.integer(0, 999)}.5000`,
      () => `-0`,
      () => `.5`,
      () => `5.`,
      () => `${random.integer(1, 99)}e${random.integer(-330, 310)}`,
      () => `${random.integer(1, 9)}E+${random.integer(0, 30)}`,
      () => ` ${value.toFixed(2)} `,
    ])();
  }

  private spelled(text: string): string {
    const marked = this.marked(text);
    return this.random.chance(0.25) ? `"${marked}"` : marked;
  }

  private marked(text: string): string {
    return this.mark === '.' ? text : text.replace('.', this.mark);
  }

  private otherLine(): string {
    const { random, lineEnd } = this;
    return random.pick(['', '# a comment', '#"', '# 1,2,3', '#']) + lineEnd;
  }

  private spoil(cells: string[]): void {
    const { random } = this;
    const at = random.integer(0, cells.length - 1);
    random.pick([
      () =>
        (cells[at] = random.pick([
          '',
          ' ',
          'abc',
          'NaN',
          'nan',
          '-inf',
          'Infinity',
          '0x1F',
          '1e999',
          '1.2.3',
          '12 mm',
          '1e',
          '-',
          '\u00a05',
          '1_000',
        ])),
      () => (cells[at] = random.pick(['1,5', '1.5', '"1,5"', '"1.5"', '1;5'])),
      () => (cells[at] = random.pick(['5"', '"5"x', '"5', '""', '"5" ', '5\r', '"5\n6"', '""#'])),
      () => cells.splice(at, 1),
      () => cells.splice(at, 0, '7'),
      () => (this.time -= random.pick([1, 3, 100])),
    ])();
  }
}

const ALPHABET = Array.from(',;\t\n\r"#-+.eE0195 xN\0é').map((each) => new TextEncoder().encode(each));

function mutate(random: RandomSource, bytes: Uint8Array, share: number): Uint8Array {
  const result = [...bytes];
  const count = Math.round(share * random.next() * bytes.length);
  for (let change = 0; change < count; change++) {
    const at = random.integer(0, Math.max(0, result.length - 1));
    const drop = random.chance(0.7) ? 1 : 0;
    const put = random.chance(0.7) ? random.pick(ALPHABET) : [];
    result.splice(at, drop, ...put);
  }
  return Uint8Array.from(result);
}

/** The bytes in pieces of random length, among them very short ones. */
export function randomPieces(random: RandomSource, bytes: Uint8Array, longest: number): Uint8Array[] {
  const pieces: Uint8Array[] = [];
  for (let at = 0; at < bytes.length;) {
    const length = random.chance(0.2) ? random.integer(1, 3) : random.integer(1, longest);
    pieces.push(bytes.subarray(at, at + length));
    at += length;
  }
  return pieces;
}
