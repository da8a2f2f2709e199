import type { Finding } from '../review/finding';
import type {
  FindingInPart,
  JudgedResult,
  Outcome,
  ReviewOutcome,
  ToldFinding,
  ToldResult,
  Verdict,
} from '../review/judgedResult';
import { resultName, verdictAdvice, verdictSentence } from '../review/verdictSentence';
import { countText, settingText } from '../review/wording';
import { bare } from '../text/figures';
import { rowsBySetting, signedShare, verdictMark, type PointRow } from './driftFigures';
import { factsOf } from './openingFacts';
import {
  adviceOf,
  filesSharingNames,
  findingsOfFiles,
  GAS_CAUTION,
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

/** What the terminal is told of one result, ready to be put together; plain JSON, to be kept. */
export interface TextPart {
  /** The damper and build. */
  readonly name: string;
  readonly lines: string;
  /** Of a pass: the line with its file, for where another result bears its name, and what was noticed. */
  readonly file?: string;
  readonly noticed?: string;
}

/** Tells results one by one in the form that `renderTextParts` puts together. */
export function textTeller(options: TextOptions): {
  readonly form: string;
  part(result: JudgedResult): TextPart;
  partOfFinding(finding: Finding): string;
} {
  const layout = layoutOf(options);
  return {
    form: `text of ${options.width} columns, ${options.colour ? 'coloured' : 'plain'}`,
    part: (result) => textPart(result, layout),
    partOfFinding: (finding) => findingLines(finding, layout, 'full').join('\n'),
  };
}

/** The outcome for a terminal. Ends with a line break. */
export function renderText(outcome: ReviewOutcome, options: TextOptions): string {
  const teller = textTeller(options);
  const results = outcome.results.map((result) => ({
    file: result.file,
    verdict: result.verdict,
    findings: result.findings,
    part: teller.part(result),
  }));
  return renderTextParts({ ...outcome, results }, options);
}

/**
 * Every failed and undecided result with its verdict, figures, findings and what to do next, then passes in a line each, faults of files,
 * and the count. Ends with a line break.
 */
export function renderTextParts(
  outcome: Outcome<ToldResult & { readonly part: TextPart }, ToldFinding>,
  options: TextOptions,
): string {
  const layout = layoutOf(options);
  const open = outcome.results.filter((result) => result.verdict !== 'pass');
  const passed = outcome.results.filter((result) => result.verdict === 'pass');
  const alike = filesSharingNames(passed.map(({ file, part }) => ({ file, name: part.name })));
  const files = findingsOfFiles<Finding | FindingInPart>(outcome);
  const lines: string[] = [];
  for (const { part } of open) lines.push(part.lines, '');
  for (const { file, part } of passed) lines.push(passedText(part, alike.has(file)));
  if (passed.length > 0) lines.push('');
  if (files.length > 0) lines.push(layout.paint('Files', 'strong'));
  for (const finding of files) lines.push(fileFinding(finding, layout));
  if (files.length > 0) lines.push('');
  // Put together once, with the last line's break: a repository's text is megabytes.
  lines.push(...summary(outcome, layout), '');
  return lines.join('\n');
}

function fileFinding(finding: Finding | FindingInPart, layout: TerminalLayout): string {
  return 'part' in finding ? String(finding.part) : findingLines(finding, layout, 'full').join('\n');
}

function layoutOf({ colour, width }: TextOptions): TerminalLayout {
  return new TerminalLayout(colour, Math.max(40, width));
}

function textPart(result: JudgedResult, layout: TerminalLayout): TextPart {
  const name = resultName(result);
  if (result.verdict !== 'pass') return { name, lines: openResult(result, layout).join('\n') };
  const noticed = result.findings.flatMap((finding) => findingLines(finding, layout, 'short'));
  return {
    name,
    lines: layout.paragraph(0, '', verdictSentence(result), result.verdict).join('\n'),
    file: layout.paragraph(2, '', result.file, 'quiet').join('\n'),
    ...(noticed.length > 0 && { noticed: noticed.join('\n') }),
  };
}

/** One line a pass; what was noticed on it stands below in a line each. */
function passedText({ lines, file, noticed }: TextPart, withFile: boolean): string {
  const named = withFile && file !== undefined ? `${lines}\n${file}` : lines;
  return noticed === undefined ? named : `${named}\n${noticed}`;
}

function openResult(result: JudgedResult, layout: TerminalLayout): string[] {
  const line = verdictSentence(result);
  return [
    ...layout.paragraph(0, '', line, result.verdict),
    ...layout.paragraph(2, '', `${result.specId === '' ? '' : `${result.specId}, `}${result.file}`, 'quiet'),
    ...layout.paragraph(2, '', verdictAdvice(result)),
    ...driftTable(result, layout),
    '',
    ...factLines(result, line, layout),
    ...(result.findings.length > 0 ? [''] : []),
    ...result.findings.flatMap((finding) => findingLines(finding, layout, 'full')),
  ];
}

/** Facts under names of one width; the sweeps of one result share a name. */
function factLines(result: JudgedResult, line: string, layout: TerminalLayout): string[] {
  const facts = factsOf(result, line).map(([name, text]) => [name === 'Adjuster' ? 'Clicks' : name, text] as const);
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
  if (size === 'full') lines.push(...adviceLines(finding, layout));
  lines.push(...layout.paragraph(11, '', place, 'quiet'));
  return lines;
}

function adviceLines(finding: Finding, layout: TerminalLayout): readonly string[] {
  return layout.kept(finding.rule, finding.next, () => {
    const { next, background } = adviceOf(finding);
    return [
      ...(next === '' ? [] : layout.paragraph(11, 'Next: ', next, undefined, 'strong')),
      ...(background === '' ? [] : layout.paragraph(11, '', background, 'quiet')),
    ];
  });
}

const WORD: Readonly<Record<Verdict, string>> = { fail: 'FAIL', undecided: 'UNDECIDED', pass: 'PASS' };

function summary(outcome: Outcome<ToldResult, ToldFinding>, layout: TerminalLayout): string[] {
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
