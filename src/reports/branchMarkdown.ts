import type { BranchChanges, ChangedResult } from '../changes/branchChanges';
import type { Finding } from '../review/finding';
import { verdictWord } from '../review/verdictSentence';
import { countText } from '../review/wording';
import { escapeHtml } from '../text/html';
import { escapeMarkdown, markdownCode } from '../text/markdown';
import {
  baseSentence,
  countsSentence,
  isAboutBranch,
  movedBesides,
  movedSentence,
  movedText,
  resultSides,
  turnedOf,
  turnedPhrase,
} from './branchStory';
import { MOST_CHARACTERS, MOST_ROWS } from './commentLimits';
import { adviceOf, waiverText } from './resultStory';

export interface BranchMarkdownOptions {
  /** Pictures by the file of a result, as paths beside the comment or addresses. */
  readonly charts?: ReadonlyMap<string, string>;
}

/** A pull-request comment: what moved that results are judged by, then every changed result before and after; findings folded. */
export function renderBranchMarkdown(changes: BranchChanges, options: BranchMarkdownOptions = {}): string {
  const about = changes.findings.filter(isAboutBranch);
  const others = changes.findings.filter((finding) => !isAboutBranch(finding));
  const moved = movedBesides(changes);
  const parts = [
    `### Damper review of this branch: ${verdictWord(changes.verdict)}`,
    `**${escapeMarkdown(movedSentence(changes))}** ${escapeMarkdown(countsSentence(changes))}`,
    ...(moved.length === 0
      ? []
      : [list(moved, (item) => `- ${escapeMarkdown(movedText(item))} ${markdownCode(item.file)}`)]),
    ...(about.length === 0 ? [] : [list(about, findingItem)]),
    ...(changes.results.length === 0 ? [] : [resultTable(changes)]),
    ...chartParts(changes, options.charts),
    ...(others.length === 0 ? [] : [folded(countText(others.length, 'finding'), list(others, findingItem))]),
    ...(changes.logs.length === 0 ? [] : [folded(countText(changes.logs.length, 'log'), logList(changes))]),
    `_${escapeMarkdown([baseSentence(changes), ...changes.notes].join(' '))}_`,
  ];
  return fitted(parts);
}

/** What does not fit is left out from the end, and the text says so. */
function fitted(parts: readonly string[]): string {
  for (let kept = parts.length; kept > 0; kept--) {
    const more = kept < parts.length ? ['_The rest is in the full report: the comment would be too long._'] : [];
    const text = `${[...parts.slice(0, kept), ...more].join('\n\n')}\n`;
    if (text.length <= MOST_CHARACTERS || kept === 1) return text;
  }
  return '';
}

function resultTable(changes: BranchChanges): string {
  const rows = changes.results.slice(0, MOST_ROWS).map((result) => resultRow(changes, result));
  const more = changes.results.length - MOST_ROWS;
  return [
    '| Result | Before | Now | Turned with |',
    '| --- | --- | --- | --- |',
    ...rows,
    ...(more > 0 ? [`| ${more} more in the full report | | | |`] : []),
  ].join('\n');
}

function resultRow(changes: BranchChanges, result: ChangedResult): string {
  const { before, after } = resultSides(result);
  const turned = turnedOf(changes, result);
  const from = result.from === undefined ? '' : `<br>was ${markdownCode(result.from)}`;
  const way = turned === undefined ? escapeMarkdown(result.change) : `**${escapeMarkdown(turnedPhrase(turned))}**`;
  return `| ${markdownCode(result.file)}${from} | ${escapeMarkdown(before ?? '')} | ${escapeMarkdown(after ?? '')} | ${way} |`;
}

function chartParts(changes: BranchChanges, charts: BranchMarkdownOptions['charts']): string[] {
  if (charts === undefined) return [];
  return changes.results.flatMap(({ file }) => {
    const chart = charts.get(file);
    return chart === undefined ? [] : [folded('drift over tolerance', `![Drift over tolerance](${chart})`, file)];
  });
}

function findingItem(finding: Finding): string {
  const waiver = waiverText(finding);
  const { next } = adviceOf(finding);
  const advice =
    waiver === undefined
      ? next === ''
        ? ''
        : `<br>**Next:** ${escapeMarkdown(next)}`
      : `<br>${escapeMarkdown(waiver)}`;
  const place = `${markdownCode(`${finding.file}:${finding.position.line}`)} ${markdownCode(finding.rule)}`;
  return `- **${waiver === undefined ? finding.level : 'waived'}** ${escapeMarkdown(finding.message)}${advice}<br>${place}`;
}

function logList({ logs }: BranchChanges): string {
  return list(logs, ({ file, change }) => `- ${change}: ${markdownCode(file)}`);
}

function list<Item>(items: readonly Item[], write: (item: Item) => string): string {
  const more = items.length - MOST_ROWS;
  return [...items.slice(0, MOST_ROWS).map(write), ...(more > 0 ? [`- ${more} more in the full report`] : [])].join(
    '\n',
  );
}

/** Text of a host's own element: no markdown is read there. */
function folded(summary: string, body: string, file = ''): string {
  const name = file === '' ? escapeHtml(summary) : `<code>${escapeHtml(file)}</code> ${escapeHtml(summary)}`;
  return `<details><summary>${name}</summary>\n\n${body}\n\n</details>`;
}
