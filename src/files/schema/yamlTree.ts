import { isAlias, isMap, isScalar, isSeq, LineCounter, parseDocument } from 'yaml';
import type { Alias, Document, ErrorCode, Node, Pair } from 'yaml';
import { plainYaml } from '../plain/plainYaml';
import type { SourcePosition } from '../problem';
import { ProblemList, wholeLine } from '../problemText';
import type { FileProblem } from '../problem';
import { refuseDangerousYaml } from './yamlGuard';

/** Plain data in which every scalar is its text as written (`017` stays `017`), and where each part stands in the file. */
export interface YamlTree {
  /** Strings, arrays, and objects without a prototype; undefined for an empty file. */
  readonly value: unknown;
  /** Position of the key (or list item) at a path; of the nearest parent where there is none. */
  keyPosition(path: readonly PropertyKey[]): SourcePosition;
  /** Position of the value at a path; of the nearest parent where there is none. */
  valuePosition(path: readonly PropertyKey[]): SourcePosition;
}

const MOST_NODES = 20_000;
const MOST_ALIASES = 100;
const DEEPEST = 40;
/** Names that reach into JavaScript's own objects. */
const FORBIDDEN_KEYS: ReadonlySet<string> = new Set(['__proto__', 'constructor', 'prototype']);

interface Place {
  readonly key: SourcePosition;
  readonly value: SourcePosition;
}

/**
 * Reads one YAML document. Everything that could run away or surprise is refused with its place: several documents,
 * directives, tags, repeated keys, aliases that multiply, nesting without end.
 *
 * @param firstLine line of the file in which `text` begins, and `firstColumn` the column, for text that is cut from a file
 */
export function readYaml(
  file: string,
  text: string,
  rule: string,
  start: TextStart = { line: 1, column: 1 },
): { tree?: YamlTree; problems: FileProblem[] } {
  const plain = plainYaml(text);
  if (plain === undefined) return readAnyYaml(file, text, rule, start);
  let placed: YamlTree | undefined;
  // What a plain text says is known without the library; where it says it is asked of few texts, and the library knows.
  const places = (): YamlTree => (placed ??= readAnyYaml(file, text, rule, start).tree!);
  const tree: YamlTree = {
    value: plain,
    keyPosition: (path) => places().keyPosition(path),
    valuePosition: (path) => places().valuePosition(path),
  };
  return { tree, problems: [] };
}

interface TextStart {
  readonly line: number;
  readonly column: number;
}

/** The same with the library for every text, plain or not. */
export function readAnyYaml(
  file: string,
  text: string,
  rule: string,
  start: TextStart = { line: 1, column: 1 },
): { tree?: YamlTree; problems: FileProblem[] } {
  const problems = new ProblemList(file, rule);
  const lines = new LineCounter();
  const positionAt = (offset: number): SourcePosition => {
    const { line, col } = lines.linePos(offset);
    return { line: line + start.line - 1, column: line === 1 ? col + start.column - 1 : col };
  };
  const refusal = refuseDangerousYaml(text);
  if (refusal !== undefined) {
    countLines(lines, text);
    problems.add({
      position: positionAt(refusal.offset),
      value: refusal.text,
      message: refusal.message,
      remedy: refusal.remedy,
    });
    return { problems: problems.all() };
  }
  const document = parseDocument(text, {
    schema: 'failsafe',
    uniqueKeys: false,
    prettyErrors: false,
    lineCounter: lines,
  });
  const fault = document.errors[0];
  if (fault !== undefined) {
    const value = lineText(text, fault.pos[0]);
    problems.add({ position: positionAt(fault.pos[0]), value, ...syntaxWords(fault.code, fault.message, value) });
    return { problems: problems.all() };
  }
  if (document.directives.yaml.explicit === true) {
    problems.add({
      position: wholeLine(start.line),
      message: 'A %YAML directive is not used here.',
      remedy: 'Remove the line.',
    });
  }
  const walk = new TreeWalk(document, positionAt, problems);
  const value = document.contents === null ? undefined : walk.read(document.contents, [], 0);
  if (problems.count > 0) return { problems: problems.all() };
  return {
    tree: { value, keyPosition: (path) => walk.find(path, 'key'), valuePosition: (path) => walk.find(path, 'value') },
    problems: [],
  };
}

class TreeWalk {
  private readonly places = new Map<string, Place>();
  private nodes = 0;
  private aliases = 0;

  constructor(
    private readonly document: Document,
    private readonly positionAt: (offset: number) => SourcePosition,
    private readonly problems: ProblemList,
  ) {}

  find(path: readonly PropertyKey[], part: keyof Place): SourcePosition {
    for (let length = path.length; length > 0; length--) {
      const place = this.places.get(placeKey(path.slice(0, length)));
      // Of a parent the key is the better place: its value may go on for pages.
      if (place !== undefined) return length === path.length ? place[part] : place.key;
    }
    return this.places.get(placeKey([]))?.value ?? wholeLine(1);
  }

  read(node: Node, path: readonly PropertyKey[], depth: number, key?: SourcePosition): unknown {
    const position = this.rangeOf(node);
    this.places.set(placeKey(path), { key: key ?? position, value: position });
    if (++this.nodes > MOST_NODES || depth > DEEPEST) {
      this.tooMuch(position);
      return undefined;
    }
    if (node.tag !== undefined && !IMPLIED_TAGS.has(node.tag)) this.refuseTag(node.tag, position);
    if (isAlias(node)) return this.readAlias(node, path, depth, position);
    if (isScalar(node)) return String(node.value);
    if (isSeq<Node>(node)) return node.items.map((item, index) => this.read(item, [...path, index], depth + 1));
    if (isMap<Node, Node | null>(node)) return this.readMap(node.items, path, depth);
    return undefined;
  }

  private readMap(items: readonly Pair<Node, Node | null>[], path: readonly PropertyKey[], depth: number): unknown {
    const result = Object.create(null) as Record<string, unknown>;
    for (const { key, value } of items) {
      const position = this.rangeOf(key);
      const name = isScalar(key) ? String(key.value) : undefined;
      if (name === undefined)
        this.refuseKey(
          position,
          '',
          'A key is a single word here, not a list, map or alias.',
          "Write keys as 'name: value'.",
        );
      else if (FORBIDDEN_KEYS.has(name))
        this.refuseKey(position, name, `'${name}' cannot be a key.`, 'Use another name.');
      else if (name in result)
        this.refuseKey(position, name, `The key '${name}' stands here for the second time.`, 'Keep one of the two.');
      else
        result[name] =
          value === null
            ? this.empty(name, [...path, name], position)
            : this.read(value, [...path, name], depth + 1, position);
      if (this.nodes > MOST_NODES) break;
    }
    return result;
  }

  private empty(name: string, path: readonly PropertyKey[], position: SourcePosition): string {
    this.places.set(placeKey(path), { key: position, value: position });
    if (name.includes(':')) {
      this.refuseKey(
        position,
        name,
        `'${name}' has no space behind its colon, so it reads as one word.`,
        `Write '${name.replace(/:\s*/, ': ')}'.`,
      );
    }
    return '';
  }

  private readAlias(alias: Alias, path: readonly PropertyKey[], depth: number, position: SourcePosition): unknown {
    if (++this.aliases > MOST_ALIASES) {
      this.tooMuch(position);
      return undefined;
    }
    const target = alias.resolve(this.document);
    if (target !== undefined) return this.read(target, path, depth + 1, position);
    this.problems.add({
      position,
      value: `*${alias.source}`,
      message: `'*${alias.source}' refers to nothing in this file.`,
      remedy: `Where a text begins with an asterisk, such as a file pattern, put it between quotation marks: "*${alias.source}".`,
    });
    return '';
  }

  private rangeOf(node: Node): SourcePosition {
    const [from, to] = node.range ?? [0, 0];
    const { line, column } = this.positionAt(from);
    const end = this.positionAt(to);
    return { line, column, endLine: end.line, endColumn: end.column };
  }

  private refuseKey(position: SourcePosition, value: string, message: string, remedy: string): void {
    this.problems.add({ position, value, message, remedy });
  }

  private refuseTag(tag: string, position: SourcePosition): void {
    this.problems.add({
      position,
      value: tag,
      message: 'Tags (words that begin with !) are not used here.',
      remedy: 'Remove the tag; put a text that begins with ! between quotation marks.',
    });
  }

  private tooMuch(position: SourcePosition): void {
    if (this.problems.count > 0) return;
    this.problems.add({
      position,
      message: `The file expands to more than ${MOST_NODES} values, ${MOST_ALIASES} aliases or ${DEEPEST} levels.`,
      remedy: 'Write out what the anchors (&) and aliases (*) stand for, and split the file if it is truly that long.',
    });
  }
}

/** Tags that the parser itself gives to untagged nodes. */
const IMPLIED_TAGS: ReadonlySet<string> = new Set([
  'tag:yaml.org,2002:str',
  'tag:yaml.org,2002:seq',
  'tag:yaml.org,2002:map',
]);

function placeKey(path: readonly PropertyKey[]): string {
  return JSON.stringify(path);
}

function countLines(lines: LineCounter, text: string): void {
  lines.addNewLine(0);
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) lines.addNewLine(at + 1);
}

function lineText(text: string, offset: number): string {
  const from = text.lastIndexOf('\n', Math.max(0, offset - 1)) + 1;
  const to = text.indexOf('\n', from);
  return text.slice(from, to < 0 ? undefined : to).trim();
}

const QUOTE_REMEDY = 'Put text that holds one of [ ] { } : # & * ! | > % @ between quotation marks.';

function syntaxWords(code: ErrorCode, message: string, line: string): { message: string; remedy: string } {
  const words = SYNTAX_WORDS[code] ?? {
    message: `This is not YAML: ${message.split('\n', 1)[0]!.replace(/\.$/, '')}.`,
    remedy: QUOTE_REMEDY,
  };
  return BRACKET_UNIT.test(line) ? { message: words.message, remedy: BRACKET_UNIT_REMEDY } : words;
}

const BRACKET_UNIT = /\[(?:in_i|ft_i|lbf_av|lb_av|psi|degF|g)\]/;
/** YAML takes the brackets of a UCUM code for a list. */
export const BRACKET_UNIT_REMEDY =
  'Put a unit with brackets between quotation marks ("2 [in_i]"), or spell it the everyday way (in, in/s, lbf, psi, degF).';

const SYNTAX_WORDS: Readonly<Partial<Record<ErrorCode, { message: string; remedy: string }>>> = {
  MULTIPLE_DOCS: {
    message: 'A second YAML document begins here.',
    remedy: "Keep one document a file: remove the line '---' and what follows it.",
  },
  TAB_AS_INDENT: { message: 'A tab stands where the line is indented.', remedy: 'Indent with spaces.' },
  BAD_INDENT: {
    message: 'The indentation or a closing bracket is not right here.',
    remedy: 'Line the keys up under each other, and close every [ and {.',
  },
  BLOCK_AS_IMPLICIT_KEY: {
    message: 'Two colons stand in one line.',
    remedy: 'Put a value that holds a colon between quotation marks.',
  },
  MULTILINE_IMPLICIT_KEY: {
    message: 'A key without a value, or without a space behind its colon.',
    remedy: "Write 'name: value' with a space behind the colon.",
  },
  MISSING_CHAR: {
    message: 'Something is missing here: a closing quotation mark, or the colon behind a key.',
    remedy: "Close the quotation mark, or write 'name: value'.",
  },
  UNEXPECTED_TOKEN: { message: 'Text follows where the value has ended already.', remedy: QUOTE_REMEDY },
  BAD_SCALAR_START: { message: 'A text may not begin with this character.', remedy: QUOTE_REMEDY },
};
