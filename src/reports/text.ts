import type { Finding } from '../review/finding';
import type { JudgedResult, ReviewOutcome, Verdict } from '../review/judgedResult';
import { verdictAdvice, verdictSentence } from '../review/verdictSentence';
import { countText, settingText } from '../review/wording';
import { bare } from '../text/figures';
import { rowsBySetting, signedShare, verdictMark, type PointRow } from './driftFigures';
import { factsOf } from './openingFacts';
import {
  adviceOf,
  findingsOfFiles,
  GAS_CAUTION,
  namesNeedingFiles,
  PASS_CAUTION,
  summarySentences,
  waiverText,
} from './resultStory';
import { TerminalLayout, type Paint } from './terminalLayout';

export interface TextOptions {
  /** ANSI colours; verdicts and levels are words in any case. */
  readonly colour: boolean;
  /** Columns of the terminal. */
  readonly width: number;
}

/**
 * The outcome for a terminal: every failed and undecided result with its verdict, figures, findings and what to do next, then
 * passes in a line each, faults of files, and the count. Ends with a line break.
 */
export function renderText(outcome: ReviewOutcome, options: TextOptions): string {
  const layout = new TerminalLayout(options.colour, Math.max(40, options.width));
  const open = outcome.results.filter((result) => result.verdict !== 'pass');
  const passed = outcome.results.filter((result) => result.verdict === 'pass');
  const alike = namesNeedingFiles(passed);
  const files = findingsOfFiles(outcome);
  const blocks = [
    ...open.map((result) => openResult(result, layout)),
    ...(passed.length > 0 ? [passed.flatMap((result) => passedResult(result, alike.has(result.file), layout))] : []),
    ...(files.length > 0
      ? [[layout.paint('Files', 'strong'), ...files.flatMap((f) => findingLines(f, layout, 'full'))]]
      : []),
    summary(outcome, layout),
  ];
  return `${blocks.map((block) => block.join('\n')).join('\n\n')}\n`;
}

function openResult(result: JudgedResult, layout: TerminalLayout): string[] {
  const line = verdictSentence(result);
  return [
    ...layout.paragraph(0, '', line, result.verdict),
    ...layout.paragraph(2, '', `${result.specId === '' ? '' : `${result.specId}, `}${result.file}`, 'quiet'),
    ...layout.paragraph(2, '', verdictAdvice(result)),
    ...driftTable(result, layout),
    '',
    ...factLines(result, layout),
    ...(result.findings.length > 0 ? [''] : []),
    ...result.findings.flatMap((finding) => findingLines(finding, layout, 'full')),
  ];
}

/** Facts under names of one width; the sweeps of one result share a name. */
function factLines(result: JudgedResult, layout: TerminalLayout): string[] {
  const facts = factsOf(result).map(([name, text]) => [name === 'Adjuster' ? 'Clicks' : name, text] as const);
  return facts.flatMap(([name, text], i) =>
    layout.paragraph(2, (facts[i - 1]?.[0] === name ? '' : name).padEnd(NAME_WIDTH), text, undefined, 'quiet'),
  );
}
const NAME_WIDTH = 7;

/** Drift over tolerance as a row of figures a side at the worst setting: the chart that a terminal can hold. */
function driftTable(result: JudgedResult, layout: TerminalLayout): string[] {
  const [first, ...others] = rowsBySetting(result);
  if (first === undefined || !first.rows.some((row) => signedShare(row.compression) ?? signedShare(row.rebound)))
    return [];
  const setting = Object.keys(first.setting).length === 0 ? '' : ` at ${settingText(first.setting)}`;
  const head = `Percent of tolerance${setting}: + harder, - softer, ! outside, ? undecided`;
  const more =
    others.length === 0
      ? []
      : layout.paragraph(
          2,
          '',
          `${countText(others.length, 'more setting')}, ${stateOfOthers(others.flatMap((o) => o.rows))}.`,
          'quiet',
        );
  return [
    '',
    ...layout.paragraph(2, '', head, 'quiet'),
    ...layout.columns(
      2,
      ['mm/s', 'compression', 'rebound'],
      first.rows.map((row) => [`${bare.speed(row.velocity)} `, cell(row, 'compression'), cell(row, 'rebound')]),
    ),
    ...more,
  ];
}

function cell(row: PointRow, side: 'compression' | 'rebound'): string {
  const point = row[side];
  const share = signedShare(point);
  return point === undefined || share === undefined ? '- ' : `${share}${verdictMark(point) || ' '}`;
}

function stateOfOthers(rows: readonly PointRow[]): string {
  const count = (verdict: Verdict): number =>
    rows.reduce(
      (sum, row) => sum + Number(row.compression?.verdict === verdict) + Number(row.rebound?.verdict === verdict),
      0,
    );
  const [outside, open] = [count('fail'), count('undecided')];
  const parts = [
    ...(outside > 0 ? [`${countText(outside, 'point')} outside`] : []),
    ...(open > 0 ? [`${open} undecided`] : []),
  ];
  return parts.length === 0 ? 'every point inside' : parts.join(', ');
}

/** One line a pass; what was noticed on it stands below in a line each. */
function passedResult(result: JudgedResult, withFile: boolean, layout: TerminalLayout): string[] {
  return [
    ...layout.paragraph(0, '', verdictSentence(result), result.verdict),
    ...(withFile ? layout.paragraph(2, '', result.file, 'quiet') : []),
    ...result.findings.flatMap((finding) => findingLines(finding, layout, 'short')),
  ];
}

const LEVEL_PAINT: Readonly<Record<Finding['level'], Paint>> = { error: 'fail', warning: 'undecided', note: 'quiet' };

function findingLines(finding: Finding, layout: TerminalLayout, size: 'full' | 'short'): string[] {
  const waiver = waiverText(finding);
  const place = `${finding.file}:${finding.position.line}  ${finding.rule}`;
  const lead = (waiver === undefined ? finding.level : 'waived').padEnd(9);
  const lines = layout.paragraph(
    2,
    lead,
    finding.message,
    undefined,
    waiver === undefined ? LEVEL_PAINT[finding.level] : 'quiet',
  );
  if (waiver !== undefined)
    return [...lines, ...layout.paragraph(11, '', waiver, 'quiet'), ...layout.paragraph(11, '', place, 'quiet')];
  if (size === 'short') return [...lines, ...layout.paragraph(11, '', place, 'quiet')];
  const { next, background } = adviceOf(finding);
  return [
    ...lines,
    ...(next === '' ? [] : layout.paragraph(11, 'Next: ', next, undefined, 'strong')),
    ...(background === '' ? [] : layout.paragraph(11, '', background, 'quiet')),
    ...layout.paragraph(11, '', place, 'quiet'),
  ];
}

const WORD: Readonly<Record<Verdict, string>> = { fail: 'FAIL', undecided: 'UNDECIDED', pass: 'PASS' };

function summary(outcome: ReviewOutcome, layout: TerminalLayout): string[] {
  const some = (verdict: Verdict): boolean => outcome.results.some((result) => result.verdict === verdict);
  return [
    ...layout.paragraph(
      0,
      `${WORD[outcome.verdict]}  `,
      summarySentences(outcome).join(' '),
      undefined,
      outcome.verdict,
    ),
    ...(outcome.unreadable ? layout.paragraph(0, '', 'At least one file could not be read; it is listed above.') : []),
    ...(some('pass') ? layout.paragraph(0, '', PASS_CAUTION, 'quiet') : []),
    ...(some('fail') ? layout.paragraph(0, '', GAS_CAUTION, 'quiet') : []),
  ];
}
