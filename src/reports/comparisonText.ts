import type { Comparison } from '../review/comparison';
import { settingText } from '../review/wording';
import { bare } from '../text/figures';
import { largestDifference, meanDifferences, onlyOne, pointsBySetting, runLine } from './comparisonStory';
import { TerminalLayout } from './terminalLayout';
import type { TextOptions } from './text';

/** The comparison for a terminal: both runs, what may be said, the largest difference, figures, what changed in the spec. */
export function renderComparisonText(comparison: Comparison, options: TextOptions): string {
  const layout = new TerminalLayout(options.colour, Math.max(40, options.width));
  const { a, b } = comparison;
  const largest = largestDifference(comparison);
  const lines = [
    ...layout.paragraph(0, 'A  ', `${runLine(a)}  ${a.file}`),
    ...layout.paragraph(0, 'B  ', `${runLine(b)}  ${b.file}`),
    '',
    ...layout.paragraph(0, '', comparison.statement, 'strong'),
    ...(largest === undefined ? [] : layout.paragraph(0, 'Largest  ', largest, undefined, 'quiet')),
    ...(comparison.points.length === 0
      ? []
      : layout.paragraph(0, 'Mean     ', meanDifferences(comparison), undefined, 'quiet')),
    ...[...comparison.basis, ...onlyOne(comparison)].flatMap((line) => layout.paragraph(0, 'Note     ', line)),
  ];
  for (const { setting, points } of pointsBySetting(comparison)) {
    const at = Object.keys(setting).length === 0 ? '' : ` at ${settingText(setting)}`;
    for (const side of ['compression', 'rebound'] as const) {
      const own = points.filter((point) => point.side === side);
      if (own.length === 0) continue;
      lines.push('', ...layout.paragraph(0, '', `Damping force, ${side}${at} [N]; ! beyond cycle scatter`, 'quiet'));
      lines.push(
        ...layout.columns(
          2,
          ['mm/s', 'A', 'B', 'B - A', 'U'],
          own.map((point) => [
            `${bare.speed(point.velocity)} `,
            `${bare.force(point.a)} `,
            `${bare.force(point.b)} `,
            `${bare.signedForce(point.difference)}${point.beyondScatter ? '!' : ' '}`,
            Number.isFinite(point.uncertainty) ? `${bare.force(point.uncertainty)} ` : '- ',
          ]),
        ),
      );
    }
  }
  lines.push('', layout.paint('Spec', 'strong'));
  lines.push(
    ...(comparison.specChanges.length === 0
      ? ['  nothing that differs']
      : comparison.specChanges.flatMap(({ key, a: was, b: now }) =>
          layout.paragraph(2, '', `${key}: ${was} -> ${now}`),
        )),
  );
  return `${lines.join('\n')}\n`;
}
