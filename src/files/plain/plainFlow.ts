/** A value of a preamble as YAML's failsafe schema has it: every scalar is its text. */
type FlowValue = string | readonly FlowValue[] | { readonly [key: string]: FlowValue };

/*
 * The part of YAML 1.2 that needs no parser: one line of plain scalars, alone or in flow maps and lists (chapter 7.3.3, "Plain
 * Style", 7.4, "Flow Collection Styles"). A scalar begins with a letter or digit, which is no indicator, and goes on with signs
 * that are none; a colon or a blank only before a letter, digit or low line, so that neither a key nor a comment begins there.
 */
const SCALAR = /[A-Za-z0-9](?:[\w./+%-]|:(?=\w)| (?=\w))*/y;
const KEY = /(?!(?:constructor|prototype):)([A-Za-z][A-Za-z0-9]*): +/y;
const MOST_CHARACTERS = 1000;
const DEEPEST = 4;

/**
 * Reads the value that goes on to the end of a line; undefined for everything that is not as plain as that, which may well be
 * YAML: quotation marks, anchors, tags, comments, empty values, keys that stand twice.
 */
export function plainFlow(line: string, from: number): FlowValue | undefined {
  if (line.length > MOST_CHARACTERS) return undefined;
  const reader = new FlowReader(line, from);
  const value = reader.read(0);
  return reader.at === line.length ? value : undefined;
}

class FlowReader {
  constructor(
    private readonly line: string,
    public at: number,
  ) {}

  read(depth: number): FlowValue | undefined {
    if (depth > DEEPEST) return undefined;
    if (this.skip('{')) return this.readMap(depth);
    if (this.skip('[')) return this.readList(depth);
    SCALAR.lastIndex = this.at;
    if (!SCALAR.test(this.line)) return undefined;
    const text = this.line.slice(this.at, SCALAR.lastIndex);
    this.at = SCALAR.lastIndex;
    return text;
  }

  private readMap(depth: number): FlowValue | undefined {
    const map = Object.create(null) as Record<string, FlowValue>;
    do {
      KEY.lastIndex = this.at;
      const key = KEY.exec(this.line)?.[1];
      if (key === undefined || key in map) return undefined;
      this.at = KEY.lastIndex;
      const value = this.read(depth + 1);
      if (value === undefined) return undefined;
      map[key] = value;
    } while (this.skip(','));
    return this.skip('}') ? map : undefined;
  }

  private readList(depth: number): FlowValue | undefined {
    const list: FlowValue[] = [];
    do {
      const value = this.read(depth + 1);
      if (value === undefined) return undefined;
      list.push(value);
    } while (this.skip(','));
    return this.skip(']') ? list : undefined;
  }

  /** Whether a sign stands here, between blanks or not; goes behind them. */
  private skip(sign: string): boolean {
    const { line } = this;
    let at = this.at;
    while (line[at] === ' ') at++;
    if (line[at] !== sign) return false;
    at++;
    while (line[at] === ' ') at++;
    this.at = at;
    return true;
  }
}
