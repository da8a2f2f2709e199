import type { Finding } from '../review/finding';
import type { JudgedResult, ReviewOutcome } from '../review/judgedResult';
import { verdictAdvice, verdictSentence } from '../review/verdictSentence';
import { settingText } from '../review/wording';
import { bare } from '../text/figures';
import { escapeMarkdown, markdownCode } from '../text/markdown';
import { rowsBySetting, signedShare, verdictMark, type PointRow } from './driftFigures';
import {
  decidingSentence,
  findingsOfFiles,
  gasSentence,
  loopsSentence,
  PASS_CAUTION,
  summarySentences,
  waiverText,
} from './resultStory';

/** The outcome as a comment on a pull request: verdicts and what to do first, figures and passes folded away. */
export function renderMarkdown(outcome: ReviewOutcome): string {
  const open = outcome.results.filter((result) => result.verdict !== 'pass');
  const passed = outcome.results.filter((result) => result.verdict === 'pass');
  const files = findingsOfFiles(outcome);
  const parts = [
    `## Damper review: ${outcome.verdict.toUpperCase()}`,
    escapeMarkdown(summarySentences(outcome).join(' ')),
    ...open.map(openResult),
    ...(files.length === 0 ? [] : [`### Files`, findingsList(files)]),
    ...(passed.length === 0 ? [] : [passes(passed), `<sub>${escapeMarkdown(PASS_CAUTION)}</sub>`]),
  ];
  return `${parts.join('\n\n')}\n`;
}

function openResult(result: JudgedResult): string {
  const gas = gasSentence(result);
  return [
    `### ${escapeMarkdown(verdictSentence(result))}`,
    `${escapeMarkdown(verdictAdvice(result))} ${markdownCode(result.file)}`,
    ...(result.findings.length === 0 ? [] : [findingsList(result.findings)]),
    [
      `<details><summary>Test, loops and figures</summary>`,
      '',
      `- Test: ${escapeMarkdown(decidingSentence(result))}`,
      `- Loops: ${escapeMarkdown(loopsSentence(result))}`,
      ...(gas === undefined ? [] : [`- Gas: ${escapeMarkdown(gas)}`]),
      '',
      ...rowsBySetting(result).map(({ setting, rows }) => driftTable(settingText(setting), rows)),
      '</details>',
    ].join('\n'),
  ].join('\n\n');
}

/** Drift over tolerance of one setting, a row a speed. */
function driftTable(setting: string, rows: readonly PointRow[]): string {
  const cell = (row: PointRow, side: 'compression' | 'rebound'): string => {
    const point = row[side];
    const share = signedShare(point);
    return point === undefined || share === undefined ? '' : `${share}${verdictMark(point)}`;
  };
  return [
    `Percent of tolerance${setting === '' ? '' : ` at ${escapeMarkdown(setting)}`} (+ harder, - softer, ! outside, ? undecided)`,
    '',
    '| mm/s | compression | rebound |',
    '| ---: | ---: | ---: |',
    ...rows.map((row) => `| ${bare.speed(row.velocity)} | ${cell(row, 'compression')} | ${cell(row, 'rebound')} |`),
    '',
  ].join('\n');
}

function findingsList(findings: readonly Finding[]): string {
  return findings
    .map((finding) => {
      const waiver = waiverText(finding);
      const level = waiver === undefined ? finding.level : 'waived';
      const place = `${markdownCode(`${finding.file}:${finding.position.line}`)} ${markdownCode(finding.rule)}`;
      const next =
        waiver === undefined
          ? finding.next === ''
            ? ''
            : ` *Next:* ${escapeMarkdown(finding.next)}`
          : ` ${escapeMarkdown(waiver)}`;
      return `- **${level}** ${escapeMarkdown(finding.message)}${next} ${place}`;
    })
    .join('\n');
}

function passes(results: readonly JudgedResult[]): string {
  const lines = results.map(
    (result) =>
      `- ${escapeMarkdown(verdictSentence(result))} ${markdownCode(result.file)}${result.findings.length === 0 ? '' : `\n${indented(findingsList(result.findings))}`}`,
  );
  return `<details><summary>${results.length} pass</summary>\n\n${lines.join('\n')}\n\n</details>`;
}

function indented(text: string): string {
  return text
    .split('\n')
    .map((line) => `  ${line}`)
    .join('\n');
}
