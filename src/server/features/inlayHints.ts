import type { InlayHint, Range } from 'vscode-languageserver';
import { shareWords } from '../../reports/pointWords';
import type { JudgedPoint } from '../../review/judgedResult';
import type { ServerSettings } from '../../protocol/requests';
import { spellHidden } from '../../text/visible';
import type { FileText } from '../fileText';
import { pointsByLine } from '../rowPoints';

/** Behind each row that is outside tolerance, or behind every row, its share of tolerance. */
export function inlayHintsOf(file: FileText, range: Range, wanted: ServerSettings['inlayHints']): InlayHint[] {
  const result = file.repository.resultOf(file.path);
  if (wanted === 'off' || result === undefined || file.kind !== 'result') return [];
  const hints: InlayHint[] = [];
  const pointsAt = pointsByLine(result);
  for (let line = Math.max(0, range.start.line); line <= Math.min(range.end.line, file.lines.length - 1); line++) {
    const text = file.lines[line]!;
    const points = pointsAt.get((file.judgedLine(line) ?? -1) + 1);
    if (points === undefined) continue;
    const told = points.filter((point) => wanted === 'all' || point.verdict === 'fail');
    const label = told
      .map(hintText)
      .filter((part) => part !== undefined)
      .join('; ');
    if (label !== '')
      hints.push({ position: { line, character: text.length }, label: spellHidden(label), paddingLeft: true });
  }
  return hints;
}

function hintText(point: JudgedPoint): string | undefined {
  const share = shareWords(point);
  if (share !== undefined) return `${point.side} ${share}${point.verdict === 'undecided' ? ', undecided' : ''}`;
  return point.verdict === 'undecided' ? `${point.side} undecided` : undefined;
}
