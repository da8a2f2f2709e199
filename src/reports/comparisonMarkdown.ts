import type { ComparedPoint, Comparison } from '../review/comparison';
import { settingText } from '../review/wording';
import { bare } from '../text/figures';
import { escapeMarkdown, markdownCode } from '../text/markdown';
import { largestDifference, meanDifferences, onlyOne, pointsBySetting, runLine } from './comparisonStory';

/** The comparison for a pull request: what may be said first, the figures folded away. */
export function renderComparisonMarkdown(comparison: Comparison): string {
  const { a, b } = comparison;
  const largest = largestDifference(comparison);
  const parts = [
    `### ${escapeMarkdown(runLine(a))} against ${escapeMarkdown(runLine(b))}`,
    `**${escapeMarkdown(comparison.statement)}**`,
    ...(largest === undefined ? [] : [`Largest difference: ${escapeMarkdown(largest)}.`]),
    ...(comparison.points.length === 0 ? [] : [`On average: ${escapeMarkdown(meanDifferences(comparison))}.`]),
    ...list([...comparison.basis, ...onlyOne(comparison)]),
    comparison.specChanges.length === 0
      ? 'Nothing differs in the spec.'
      : [
          '| key of the spec | A | B |',
          '| --- | --- | --- |',
          ...comparison.specChanges.map(
            ({ key, a: was, b: now }) => `| ${markdownCode(key)} | ${escapeMarkdown(was)} | ${escapeMarkdown(now)} |`,
          ),
        ].join('\n'),
    `A: ${markdownCode(a.file)}<br>B: ${markdownCode(b.file)}`,
    ...pointsBySetting(comparison).map(({ setting, points }) => folded(settingText(setting), points)),
  ];
  return `${parts.join('\n\n')}\n`;
}

function list(sentences: readonly string[]): string[] {
  return sentences.length === 0 ? [] : [sentences.map((sentence) => `- ${escapeMarkdown(sentence)}`).join('\n')];
}

function folded(setting: string, points: readonly ComparedPoint[]): string {
  const rows = points.map((point) => {
    const uncertainty = Number.isFinite(point.uncertainty) ? bare.force(point.uncertainty) : '';
    const mark = point.beyondScatter ? ' **!**' : '';
    return `| ${point.side} | ${bare.speed(point.velocity)} | ${bare.force(point.a)} | ${bare.force(point.b)} | ${bare.signedForce(point.difference)}${mark} | ${uncertainty} |`;
  });
  return [
    `<details><summary>Damping force${setting === '' ? '' : ` at ${escapeMarkdown(setting)}`}</summary>`,
    '',
    '| side | mm/s | A [N] | B [N] | B - A [N] | U [N] |',
    '| --- | ---: | ---: | ---: | ---: | ---: |',
    ...rows,
    '',
    '**!** beyond cycle scatter',
    '',
    '</details>',
  ].join('\n');
}
