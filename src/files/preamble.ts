import type { FileProblem, SourcePosition } from './problem';
import { ProblemList } from './problemText';
import { readYaml } from './schema/yamlTree';

/** One key of a preamble: every scalar is its text as written, maps and lists are plain. */
export interface PreambleEntry {
  readonly value: unknown;
  /** Place of the key. */
  readonly position: SourcePosition;
  /** Place of a part of the value, such as `['temperature']` of `gas`. */
  readonly positionOf?: (path: readonly PropertyKey[]) => SourcePosition;
}

export interface Preamble {
  readonly entries: ReadonlyMap<string, PreambleEntry>;
  /** Line of the header row, from 1; one behind the last line where there is none. */
  readonly bodyLine: number;
  readonly problems: FileProblem[];
}

/** Preambles are written by hand or by this program; a million comment lines are neither. */
const MOST_LINES = 1000;
/** A line that says something; every other line of `#` is a comment. */
export const KEY_LINE = /^(#\s*)([\p{L}_][\p{L}\p{N}_.-]*):(?=\s|$)/u;

/**
 * Reads the lines before the header row: `# key: value`, the value in YAML of one line. Lines of `#` without a key are
 * comments; blank lines are passed over.
 *
 * @param lines from the first of the file, without line ends and byte order mark; may go on behind the header
 */
export function readPreamble(lines: readonly string[], file: string): Preamble {
  const entries = new Map<string, PreambleEntry>();
  const problems = new ProblemList(file, 'file-invalid');
  let index = 0;
  for (; index < lines.length; index++) {
    const line = lines[index]!.replace(/\r$/, '');
    if (line.startsWith('#')) readLine(line, index + 1, file, entries, problems);
    else if (line.trim() !== '') break;
    if (index >= MOST_LINES) {
      const remedy = 'Move the notes to a file of their own.';
      problems.add({
        position: { line: index + 1, column: 1 },
        message: `More than ${MOST_LINES} lines stand before the header row.`,
        remedy,
      });
      break;
    }
  }
  return { entries, bodyLine: index + 1, problems: problems.all() };
}

/** Keys and values that are the same text in YAML and to the eye: most lines of most tables, and a parser takes a hundred times as long. */
const PLAIN_KEY = /^(?!constructor$|prototype$)[A-Za-z]+$/u;
const PLAIN_VALUE = /^( +)([A-Za-z0-9](?:[\w./+%-]|:(?=\w)| (?=\w)){0,999})$/u;

function plainEntry(value: string, position: SourcePosition, column: number): PreambleEntry {
  const place = { line: position.line, column, endLine: position.line, endColumn: column + value.length };
  return { value, position, positionOf: (path) => (path.length === 0 ? place : position) };
}

function readLine(
  line: string,
  number: number,
  file: string,
  entries: Map<string, PreambleEntry>,
  problems: ProblemList,
): void {
  const match = KEY_LINE.exec(line);
  if (match === null) return;
  const [, before, key] = match as unknown as [string, string, string];
  const position = {
    line: number,
    column: before.length + 1,
    endLine: number,
    endColumn: before.length + key.length + 1,
  };
  if (entries.has(key)) {
    problems.add({
      position,
      column: key,
      value: line,
      message: `The key '${key}' stands here for the second time.`,
      remedy: 'Keep one of the two lines.',
    });
    return;
  }
  const plain = PLAIN_KEY.test(key) ? PLAIN_VALUE.exec(line.slice(before.length + key.length + 1)) : null;
  if (plain !== null) {
    entries.set(key, plainEntry(plain[2]!, position, position.endColumn + 1 + plain[1]!.length));
    return;
  }
  const { tree, problems: faults } = readYaml(file, line.slice(before.length), 'file-invalid', {
    line: number,
    column: before.length + 1,
  });
  for (const fault of faults) problems.push({ ...fault, column: key });
  if (tree === undefined) return;
  const value = (tree.value as Readonly<Record<string, unknown>>)[key];
  if (value !== '') entries.set(key, { value, position, positionOf: (path) => tree.valuePosition([key, ...path]) });
  else
    problems.add({
      position,
      column: key,
      value: line,
      message: `The key '${key}' has no value.`,
      remedy: 'Write one behind the colon, or remove the line.',
    });
}
