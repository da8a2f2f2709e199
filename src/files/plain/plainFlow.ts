/** A value as YAML's failsafe schema has it: every scalar is its text. */
export type PlainValue = string | readonly PlainValue[] | { readonly [key: string]: PlainValue };

/*
 * The part of YAML 1.2 that needs no parser: one line of plain scalars, alone or in flow maps and lists (chapters 7.3.3, "Plain
 * Style", and 7.4, "Flow Collection Styles"). A scalar begins with a letter or digit, which is no indicator, and goes on with
 * signs that are none; a colon only before a letter, digit or low line, a blank only before those or a percent sign, so that
 * neither a key nor a comment begins there. Text between quotation marks is what it is where it has no backslash.
 */
const FLOW_SCALAR = /[A-Za-z0-9](?:[\w./+%-]|:(?=\w)| (?=[\w%]))*/y;
/** Outside of brackets a comma is a sign like others. */
const SCALAR = /[A-Za-z0-9](?:[\w./+%,-]|:(?=\w)| (?=[\w%]))*/y;
const QUOTED = /"([ !#-[\]-~]*)"/y;
const KEY = /([A-Za-z][\w-]*): {1,8}/y;
/** Names that reach into JavaScript's own objects; the library's reader refuses them. `__proto__` begins with no letter. */
export const REFUSED_KEYS: ReadonlySet<string> = new Set(['constructor', 'prototype']);
/** More blanks in a row make a text too deeply nested (schema/yamlGuard.ts). */
const MOST_BLANKS = 8;
const MOST_CHARACTERS = 1000;
const DEEPEST = 5;

/**
 * Reads the value that goes on to the end of a line; undefined for everything that is not as plain as that, which may well be
 * YAML: single quotation marks, anchors, tags, comments, empty values, keys that stand twice.
 */
export function plainFlow(line: string, from: number): PlainValue | undefined {
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

  read(depth: number): PlainValue | undefined {
    if (depth > DEEPEST) return undefined;
    const { line } = this;
    const sign = line[this.at];
    if (sign === '{') return this.readMap(depth);
    if (sign === '[') return this.readList(depth);
    const pattern = sign === '"' ? QUOTED : depth === 0 ? SCALAR : FLOW_SCALAR;
    pattern.lastIndex = this.at;
    if (!pattern.test(line)) return undefined;
    const start = this.at;
    this.at = pattern.lastIndex;
    return sign === '"' ? line.slice(start + 1, this.at - 1) : line.slice(start, this.at);
  }

  private readMap(depth: number): PlainValue | undefined {
    const map = Object.create(null) as Record<string, PlainValue>;
    for (let more = this.skip('{'); more; more = this.skip(',')) {
      KEY.lastIndex = this.at;
      const key = KEY.exec(this.line)?.[1];
      if (key === undefined || key in map || REFUSED_KEYS.has(key)) return undefined;
      this.at = KEY.lastIndex;
      const value = this.read(depth + 1);
      if (value === undefined) return undefined;
      map[key] = value;
    }
    return this.skip('}') ? map : undefined;
  }

  private readList(depth: number): PlainValue | undefined {
    const list: PlainValue[] = [];
    for (let more = this.skip('['); more; more = this.skip(',')) {
      const value = this.read(depth + 1);
      if (value === undefined) return undefined;
      list.push(value);
    }
    return this.skip(']') ? list : undefined;
  }

  /** Whether a sign stands here, between blanks or not; goes behind them. */
  private skip(sign: string): boolean {
    const at = this.behindBlanks(this.at);
    if (this.line[at] !== sign) return false;
    this.at = this.behindBlanks(at + 1);
    return true;
  }

  private behindBlanks(from: number): number {
    let at = from;
    while (this.line[at] === ' ' && at - from < MOST_BLANKS) at++;
    return at;
  }
}
