import { SIDES } from '../analysis/side';
import type { Comparison } from '../review/comparison';
import { countText } from '../review/wording';
import { bare } from '../text/figures';
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
import { TerminalLayout } from './terminalLayout';
import type { TextOptions } from './text';

/** Settings whose figures a terminal shows in full; the rest are counted. */
const MOST_SETTINGS = 3;

/** Two runs held against each other, for a terminal: what may be said, what else differs, figures. Ends with a line break. */
export function renderComparisonText(comparison: Comparison, options: TextOptions): string {
  const layout = new TerminalLayout(options.colour, Math.max(40, options.width));
  const runs = runTexts(comparison);
  const mean = meanSentence(comparison);
  const notes = [...comparison.basis, ...unmatchedSentences(comparison)];
  const settings = comparedSettings(comparison);
  const left = settings.length - MOST_SETTINGS;
  const blocks = [
    [
      ...layout.paragraph(0, '', `${runs[0].label} against ${runs[1].label}`, 'strong'),
      ...runs.flatMap(({ letter, about }) => layout.paragraph(2, `${letter}  `, about, 'quiet', 'strong')),
    ],
    [
      ...layout.paragraph(0, '', comparison.statement),
      ...(mean === undefined ? [] : layout.paragraph(0, '', `Mean of B against A: ${mean}.`)),
    ],
    notes.flatMap((note) => layout.paragraph(0, '- ', note)),
    specLines(comparison, layout),
    ...settings.slice(0, MOST_SETTINGS).map((setting) => settingLines(setting, layout)),
    [
      ...(settings.length > 0 ? layout.paragraph(0, '', SCATTER_NOTE, 'quiet') : []),
      ...(left > 0
        ? layout.paragraph(0, '', `${countText(left, 'more setting')}: see --format json or html.`, 'quiet')
        : []),
    ],
  ];
  return `${blocks
    .filter((block) => block.length > 0)
    .map((block) => block.join('\n'))
    .join('\n\n')}\n`;
}

function specLines({ specChanges }: Comparison, layout: TerminalLayout): string[] {
  if (specChanges.length === 0) return [];
  return [
    layout.paint('The spec differs', 'strong'),
    ...specChanges.flatMap(({ key, a, b }) =>
      layout.paragraph(2, '', `${key}: ${a === '' ? 'absent' : a} -> ${b === '' ? 'absent' : b}`),
    ),
  ];
}

function settingLines({ setting, rows }: ComparedSetting, layout: TerminalLayout): string[] {
  return [
    ...layout.paragraph(0, '', settingName(setting), 'strong'),
    ...SIDES.flatMap((side, i) => {
      const drawn = rows.filter((row) => row[side] !== undefined);
      if (drawn.length === 0) return [];
      const columns = drawn.map((row) => [bare.speed(row.velocity), ...comparedCells(row[side])]);
      return [...(i > 0 ? [''] : []), ...layout.columns(2, [`${side}, mm/s`.padEnd(17), ...COMPARED_HEADS], columns)];
    }),
  ];
}
