import type { Comparison } from '../review/comparison';
import { countText } from '../review/wording';
import { bare } from '../text/figures';
import { escapeHtml } from '../text/html';
import { escapeMarkdown, markdownCode } from '../text/markdown';
import {
  COMPARED_HEADS,
  comparedCells,
  comparedSettings,
  meanSentence,
  runTexts,
  SCATTER_NOTE,
  settingName,
  unmatchedSentences,
  type ComparedSetting,
} from './comparisonStory';

/** Tables of so many settings; the rest are counted, so that a comment stays below what hosts accept. */
const MOST_SETTINGS = 8;

/** Two runs held against each other, for a pull request: what may be said first, figures folded. */
export function renderComparisonMarkdown(comparison: Comparison): string {
  const [a, b] = runTexts(comparison);
  const mean = meanSentence(comparison);
  const settings = comparedSettings(comparison);
  const left = settings.length - MOST_SETTINGS;
  const notes = [...comparison.basis, ...unmatchedSentences(comparison)];
  const parts = [
    `### ${markdownCode(a.label)} against ${markdownCode(b.label)}`,
    escapeMarkdown(comparison.statement),
    ...(mean === undefined ? [] : [`Mean of B against A: ${escapeMarkdown(mean)}.`]),
    [a, b].map(({ letter, about }) => `- ${letter}: ${escapeMarkdown(about)}`).join('\n'),
    ...(notes.length === 0 ? [] : ['**Also differs**', notes.map((note) => `- ${escapeMarkdown(note)}`).join('\n')]),
    ...specTable(comparison),
    ...settings.slice(0, MOST_SETTINGS).map(settingDetails),
    ...(left > 0 ? [`${countText(left, 'more setting')} in the full report.`] : []),
    ...(settings.length > 0 ? [`_${escapeMarkdown(SCATTER_NOTE)}_`] : []),
  ];
  return `${parts.join('\n\n')}\n`;
}

function specTable({ specChanges }: Comparison): string[] {
  if (specChanges.length === 0) return [];
  const cell = (text: string): string => (text === '' ? 'absent' : markdownCode(text));
  const rows = specChanges.map(({ key, a, b }) => `| ${markdownCode(key)} | ${cell(a)} | ${cell(b)} |`);
  return ['**The spec differs**', ['| Key | A | B |', '| --- | --- | --- |', ...rows].join('\n')];
}

function settingDetails({ setting, rows }: ComparedSetting): string {
  const heads = ['mm/s', ...COMPARED_HEADS.map((head) => `C ${head}`), ...COMPARED_HEADS.map((head) => `R ${head}`)];
  const lines = rows.map((row) => {
    const cells = [...comparedCells(row.compression), ...comparedCells(row.rebound)];
    return `| ${[bare.speed(row.velocity), ...cells.map((cell) => cell.replace('*', '\\*'))].join(' | ')} |`;
  });
  const table = [`| ${heads.join(' | ')} |`, `|${' ---: |'.repeat(heads.length)}`, ...lines].join('\n');
  return `<details><summary><code>${escapeHtml(settingName(setting))}</code></summary>\n\nC compression, R rebound.\n\n${table}\n\n</details>`;
}
