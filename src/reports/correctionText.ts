import type { Correction } from '../review/correction';
import type { JudgedResult } from '../review/judgedResult';
import { verdictSentence } from '../review/verdictSentence';
import { settingText, speedNumber } from '../review/wording';
import { bare } from '../text/figures';
import {
  ADVICE_NOTE,
  adviceSentences,
  CAR_CAUTION,
  fitSentences,
  TERM_HEADS,
  TERM_NOTE,
  termCells,
} from './correctionStory';
import { rowsBySetting } from './driftFigures';
import { GAS_CAUTION } from './resultStory';
import { TerminalLayout } from './terminalLayout';
import type { TextOptions } from './text';

/** What explains the drift of one result, for a terminal. Ends with a line break. */
export function renderCorrectionText(result: JudgedResult, correction: Correction, options: TextOptions): string {
  const layout = new TerminalLayout(options.colour, Math.max(40, options.width));
  const blocks = [
    [
      ...layout.paragraph(0, '', verdictSentence(result), result.verdict),
      ...layout.paragraph(2, '', result.file, 'quiet'),
    ],
    correction.conclusions.flatMap(({ text, next }) => [
      ...layout.paragraph(0, '', text, 'strong'),
      ...(next === '' ? [] : layout.paragraph(2, 'Next: ', next, undefined, 'strong')),
    ]),
    termLines(correction, layout),
    driftLines(result, correction, layout),
    adviceLines(correction, layout),
    correction.reasons.flatMap((reason) => layout.paragraph(0, '- ', reason)),
    layout.paragraph(0, '', GAS_CAUTION, 'quiet'),
  ];
  return `${blocks
    .filter((block) => block.length > 0)
    .map((block) => block.join('\n'))
    .join('\n\n')}\n`;
}

function termLines(correction: Correction, layout: TerminalLayout): string[] {
  const fit = fitSentences(correction).flatMap((sentence) => layout.paragraph(0, '', sentence));
  if (correction.terms.length === 0) return fit;
  return [
    ...layout.columns(2, TERM_HEADS, correction.terms.map(termCells)),
    ...layout.paragraph(2, '', TERM_NOTE, 'quiet'),
    '',
    ...fit,
  ];
}

/** Drift before and after the causes, at the setting of the worst point. */
function driftLines(result: JudgedResult, correction: Correction, layout: TerminalLayout): string[] {
  const first = rowsBySetting(result)[0];
  if (first === undefined || correction.terms.length === 0) return [];
  const byPoint = new Map(correction.points.map((one) => [result.points[one.point], one]));
  const setting = Object.keys(first.setting).length === 0 ? '' : ` at ${settingText(first.setting)}`;
  const columns = first.rows.map((row) => [
    speedNumber(row.velocity),
    ...[row.compression, row.rebound].flatMap((point) => {
      const found = byPoint.get(point);
      return found === undefined
        ? ['-', '-']
        : [bare.signedForce(found.drift), bare.signedForce(found.drift - found.explained)];
    }),
  ]);
  return [
    ...layout.paragraph(2, '', `Drift in N, gas not taken off, and what is left over${setting}`, 'quiet'),
    ...layout.columns(2, ['mm/s', 'compression', '  left over', 'rebound', '  left over'], columns),
  ];
}

function adviceLines({ advice, state }: Correction, layout: TerminalLayout): string[] {
  if (advice === undefined || state === 'nothing') return [];
  return [
    layout.paint('Clicks', 'strong'),
    ...advice.groups.flatMap((group) => adviceSentences(group)).flatMap((line) => layout.paragraph(2, '', line)),
    ...layout.paragraph(2, '', `${ADVICE_NOTE} ${CAR_CAUTION}`, 'quiet'),
  ];
}
