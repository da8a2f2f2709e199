import { countsOf } from '../review/findingTally';
import type { Finding } from '../review/finding';
import type { JudgedResult, ReviewOutcome } from '../review/judgedResult';
import { verdictAdvice, verdictWord } from '../review/verdictSentence';
import { countText, settingText } from '../review/wording';
import { bare } from '../text/figures';
import { escapeHtml } from '../text/html';
import { escapeMarkdown, markdownCode } from '../text/markdown';
import { MOST_CHARACTERS, MOST_ROWS } from './commentLimits';
import { rowsBySetting, signedShare, type PointRow } from './driftFigures';
import { factsOf } from './openingFacts';
import {
  adviceOf,
  countedFindings,
  findingsOfFiles,
  namesNeedingFiles,
  PASS_CAUTION,
  summarySentences,
  verdictParts,
  waiverText,
} from './resultStory';

export interface MarkdownOptions {
  /** Hosts refuse longer comments: details are left out from the end, and the text says so. */
  readonly mostCharacters?: number;
}

/** A pull-request comment: verdict and a table first, then a folded part for each result that is not a plain pass. */
export function renderMarkdown(outcome: ReviewOutcome, options: MarkdownOptions = {}): string {
  const open = outcome.results.filter((result) => result.verdict !== 'pass');
  const passed = outcome.results.filter((result) => result.verdict === 'pass');
  const files = findingsOfFiles(outcome);
  const head = [
    `### Damper review: ${verdictWord(outcome.verdict)}`,
    summarySentences(outcome.results, countsOf(outcome.findings)).map(escapeMarkdown).join(' '),
    ...(outcome.results.length > 0 ? [resultTable(open.length > 0 ? open : passed)] : []),
    ...(files.length > 0 ? [['**Files**', '', ...shortened(files, findingItem, '- ')].join('\n')] : []),
    ...(open.length > 0 && passed.length > 0
      ? [folded(countText(passed.length, 'pass', 'passes'), resultTable(passed))]
      : []),
  ];
  const tail = outcome.results.some((r) => r.verdict === 'pass') ? [`_${escapeMarkdown(PASS_CAUTION)}_`] : [];
  const detailed = outcome.results.filter((r) => r.verdict !== 'pass' || r.findings.length > 0);
  return fitted(head, detailed, tail, options.mostCharacters ?? MOST_CHARACTERS);
}

/** Details of as many results as fit; of no more than may fit they are made at all. */
function fitted(
  head: readonly string[],
  detailed: readonly JudgedResult[],
  tail: readonly string[],
  most: number,
): string {
  const join = (parts: readonly string[]): string => `${parts.join('\n\n')}\n`;
  const details: string[] = [];
  for (let length = 0; details.length < detailed.length && length <= most; length += details.at(-1)!.length)
    details.push(resultDetails(detailed[details.length]!));
  for (let kept = details.length; kept >= 0; kept--) {
    const left = detailed.length - kept;
    const note =
      left === 0 ? [] : [`${countText(left, 'result')} more in the full report: the comment would be too long.`];
    const text = join([...head, ...details.slice(0, kept), ...note, ...tail]);
    if (text.length <= most || kept === 0) return text;
  }
  return join([...head, ...tail]);
}

function resultTable(results: readonly JudgedResult[]): string {
  const alike = namesNeedingFiles(results);
  const rows = shortened(results, (result) => {
    const { name, word, rest } = verdictParts(result);
    const file = alike.has(result.file) ? `<br>${markdownCode(result.file)}` : '';
    const found = countedFindings(result.findings).join(' ').replace(/\.$/, '');
    return `| **${word}** | ${markdownCode(name)}${file} | ${escapeMarkdown(rest.replace(/^: /, '').trim())} | ${found} |`;
  });
  return ['| Verdict | Damper | Worst point or reason | Findings |', '| --- | --- | --- | --- |', ...rows].join('\n');
}

/** The first of many, and how many more there are: the worst come first. */
function shortened<Item>(items: readonly Item[], write: (item: Item) => string, lead = '| | | '): string[] {
  const more = items.length - MOST_ROWS;
  return [
    ...items.slice(0, MOST_ROWS).map(write),
    ...(more > 0 ? [`${lead}${more} more in the full report${lead === '- ' ? '' : ' | |'}`] : []),
  ];
}

/** Text of a host's own element: no markdown is read there, and nothing is linked inside code. */
function folded(summary: string, body: string, unit = ''): string {
  const name = unit === '' ? escapeHtml(summary) : `<code>${escapeHtml(unit)}</code> ${escapeHtml(summary)}`;
  return `<details><summary>${name}</summary>\n\n${body}\n\n</details>`;
}

function resultDetails(result: JudgedResult): string {
  const lines = factsOf(result).map(([name, text]) => `- ${name}: ${escapeMarkdown(text)}`);
  const body = [
    `${escapeMarkdown(verdictAdvice(result))} ${markdownCode(result.file)}`,
    lines.join('\n'),
    ...(result.findings.length > 0 ? ['**Findings**', result.findings.map(findingItem).join('\n')] : []),
    ...driftTable(result),
  ].join('\n\n');
  const { name, word } = verdictParts(result);
  return folded(word, body, name);
}

function findingItem(finding: Finding): string {
  const waiver = waiverText(finding);
  const place = `${markdownCode(`${finding.file}:${finding.position.line}`)} ${markdownCode(finding.rule)}`;
  const level = waiver === undefined ? finding.level : 'waived';
  const advice = adviceOf(finding);
  const next =
    advice.next === '' || waiver !== undefined
      ? ''
      : `<br>**Next:** ${escapeMarkdown(advice.next)} ${escapeMarkdown(advice.background)}`.trimEnd();
  const waived = waiver === undefined ? '' : `<br>${escapeMarkdown(waiver)}`;
  return `- **${level}** ${escapeMarkdown(finding.message)}${next}${waived}<br>${place}`;
}

function driftTable(result: JudgedResult): string[] {
  const [first] = rowsBySetting(result);
  const rows =
    first?.rows.filter((row) => (signedShare(row.compression) ?? signedShare(row.rebound)) !== undefined) ?? [];
  if (first === undefined || rows.length === 0) return [];
  const at = Object.keys(first.setting).length === 0 ? '' : ` at ${escapeMarkdown(settingText(first.setting))}`;
  return [
    `Percent of tolerance${at}, harder positive:`,
    ['| mm/s | Compression | Rebound |', '| ---: | ---: | ---: |', ...rows.map(driftRow)].join('\n'),
  ];
}

function driftRow(row: PointRow): string {
  const cells = [row.compression, row.rebound].map((point) => {
    const share = signedShare(point);
    if (point === undefined || share === undefined) return '';
    return point.verdict === 'pass' ? share : `**${share} ${point.verdict}**`;
  });
  return `| ${bare.speed(row.velocity)} | ${cells.join(' | ')} |`;
}
