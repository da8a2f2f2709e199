import type { Hover } from 'vscode-languageserver';
import { pointFacts } from '../../reports/pointWords';
import type { JudgedPoint, JudgedResult } from '../../review/judgedResult';
import { verdictSentence } from '../../review/verdictSentence';
import { settingText, speedText } from '../../review/wording';
import { escapeEditorMarkdown } from '../../text/editorMarkdown';
import { yamlPlaceIn, type FileText } from '../fileText';
import { pointsByLine } from '../rowPoints';
import { descriptionOf, schemaNodesAt, valuesOf } from '../schemaWalk';
import { wholeLineRange } from '../textPlaces';
import { valuePath } from '../yamlPlace';

/** A row with its reference, drift, tolerance and uncertainty; a key with what it is for; the verdict over the preamble. */
export function hoverAt(file: FileText, line: number, character: number): Hover | null {
  const result = file.repository.resultOf(file.path);
  if (result !== undefined && file.kind === 'result') {
    const number = (file.judgedLine(line) ?? -1) + 1;
    const points = pointsByLine(result).get(number);
    if (points !== undefined) return rowHover(points, line, file.lines[line]);
    if (number === result.table.headerLine) return verdictHover(result);
  }
  const place = yamlPlaceIn(file, line, endOfWord(file.lines[line] ?? '', character));
  if (place === undefined || file.kind === undefined) return null;
  const path = place.key === undefined ? [...place.path, place.word] : valuePath(place);
  const nodes = schemaNodesAt(file.kind, path);
  const description = descriptionOf(nodes);
  if (description === undefined) return null;
  const values = valuesOf(nodes).slice(0, 12);
  const shown = [description, ...(values.length > 0 ? [`Such as ${values.join(', ')}.`] : [])];
  return { contents: { kind: 'markdown', value: shown.map(escapeEditorMarkdown).join('\n\n') } };
}

/** The key under the cursor is read whole, not only up to it. */
function endOfWord(text: string, character: number): number {
  return character + /^[\w-]*/.exec(text.slice(character))![0].length;
}

function rowHover(points: readonly JudgedPoint[], line: number, text: string | undefined): Hover {
  const [first] = points;
  const setting =
    first === undefined || Object.keys(first.setting).length === 0 ? '' : `, ${settingText(first.setting)}`;
  const title = `**${escapeEditorMarkdown(`${speedText(first?.velocity ?? 0)}${setting}`)}**`;
  const names = [...new Set(points.flatMap((point) => pointFacts(point).map(([name]) => name)))];
  const heads = points.map(({ side, verdict }) => escapeEditorMarkdown(`${side}: ${verdict}`));
  const table = [
    `| | ${heads.join(' | ')} |`,
    `|---|${points.map(() => '---:').join('|')}|`,
    ...names.map((name) => {
      const cells = points.map((point) => new Map(pointFacts(point)).get(name) ?? '');
      return `| ${escapeEditorMarkdown(name)} | ${cells.map(escapeEditorMarkdown).join(' | ')} |`;
    }),
  ].join('\n');
  const reasons = [...new Set(points.flatMap(({ reason }) => reason ?? []))].map(escapeEditorMarkdown);
  return {
    contents: { kind: 'markdown', value: [title, table, ...reasons].join('\n\n') },
    range: wholeLineRange(line + 1, text),
  };
}

function verdictHover(result: JudgedResult): Hover {
  const words = [verdictSentence(result), result.decisionRule].filter((text) => text !== undefined);
  return { contents: { kind: 'markdown', value: words.map(escapeEditorMarkdown).join('\n\n') } };
}
