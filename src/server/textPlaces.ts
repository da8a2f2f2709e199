import type { Range } from 'vscode-languageserver';
import type { SourcePosition } from '../files/problem';

/** Beyond the end of any line: editors clip it to the line. */
const LINE_END = 10_000;

/** The place of a finding as the protocol counts it, from 0; the whole line where it names no column. */
export function rangeOf(position: SourcePosition, lineText?: string): Range {
  const line = Math.max(0, position.line - 1);
  const start = Math.max(0, position.column - 1);
  if (position.endLine !== undefined && position.endColumn !== undefined)
    return {
      start: { line, character: start },
      end: { line: Math.max(line, position.endLine - 1), character: Math.max(0, position.endColumn - 1) },
    };
  return { start: { line, character: start }, end: { line, character: lineText?.length ?? LINE_END } };
}

export function wholeLineRange(line: number, lineText?: string): Range {
  return rangeOf({ line, column: 1 }, lineText);
}

export function rangeHolds(range: Range, line: number, character: number): boolean {
  const after = range.start.line < line || (range.start.line === line && range.start.character <= character);
  const before = range.end.line > line || (range.end.line === line && range.end.character >= character);
  return after && before;
}
