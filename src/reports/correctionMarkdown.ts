import type { Correction } from '../review/correction';
import type { JudgedResult } from '../review/judgedResult';
import { escapeMarkdown, markdownCode } from '../text/markdown';
import {
  ADVICE_NOTE,
  adviceSentences,
  CAR_CAUTION,
  fitSentences,
  TERM_HEADS,
  TERM_NOTE,
  termCells,
} from './correctionStory';
import { GAS_CAUTION, verdictParts } from './resultStory';

/** What explains the drift of one result, for a pull request. */
export function renderCorrectionMarkdown(result: JudgedResult, correction: Correction): string {
  const { name, word, rest } = verdictParts(result);
  const notes = [...fitSentences(correction), ...correction.reasons];
  const parts = [
    `### ${markdownCode(name)}: what explains the drift`,
    `**${word}**${escapeMarkdown(rest)}`,
    markdownCode(result.file),
    ...(correction.conclusions.length > 0 ? [conclusionList(correction)] : []),
    ...(correction.terms.length > 0 ? [termTable(correction), `_${escapeMarkdown(TERM_NOTE)}_`] : []),
    ...(notes.length > 0 ? [notes.map((note) => `- ${escapeMarkdown(note)}`).join('\n')] : []),
    ...clickList(correction),
    `_${escapeMarkdown(GAS_CAUTION)}_`,
  ];
  return `${parts.join('\n\n')}\n`;
}

function conclusionList({ conclusions }: Correction): string {
  return conclusions
    .map(({ text, next }) => `1. ${escapeMarkdown(text)}${next === '' ? '' : `<br>**Next:** ${escapeMarkdown(next)}`}`)
    .join('\n');
}

function termTable({ terms }: Correction): string {
  const line = (cells: readonly string[]): string => `| ${cells.map(escapeMarkdown).join(' | ')} |`;
  return [line(TERM_HEADS), '| --- | ---: | ---: | ---: |', ...terms.map((term) => line(termCells(term)))].join('\n');
}

function clickList({ advice, state }: Correction): string[] {
  if (advice === undefined || state === 'nothing') return [];
  const lines = advice.groups.flatMap((group) => adviceSentences(group)).map((line) => `- ${escapeMarkdown(line)}`);
  return ['**Clicks**', lines.join('\n'), `_${escapeMarkdown(`${ADVICE_NOTE} ${CAR_CAUTION}`)}_`];
}
