import type { Finding } from '../review/finding';
import { countsOf, ERROR_RANK, rankOf } from '../review/findingTally';
import type { JudgedPoint, JudgedResult, ReviewOutcome, Verdict } from '../review/judgedResult';
import { countsOfRules, inFull, inFullOfFiles, MOST_IN_FULL, type Tellable } from '../review/inFull';
import type { RuleCount, ToldOutcome } from '../review/toldOutcome';
import { resultName, verdictAdvice, verdictSentence, verdictWord } from '../review/verdictSentence';
import { countText, listText, settingText } from '../review/wording';
import { bare } from '../text/figures';
import { rowsBySetting, signedShare, verdictMark, type PointRow, type SettingRows } from './driftFigures';
import { factsOf, type Fact } from './openingFacts';
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
import { TextPieces } from './textPieces';

export interface TextOptions {
  /** ANSI colours; verdicts and levels are words in any case. */
  readonly colour: boolean;
  /** Columns of the terminal. */
  readonly width: number;
}

/** Tells results and findings one by one in the form that `renderTold` puts together. */
export function textTeller(options: TextOptions): {
  readonly form: string;
  /** The damper and build, and the line that a reviewer reads first; an open result names its spec and file as well. */
  head(result: JudgedResult): { readonly name: string; readonly text: string };
  /** All else: of a pass what was noticed. Empty, or ends with a line break. */
  rest(result: JudgedResult): string;
  partOfFinding(finding: Finding): string;
} {
  const layout = layoutOf(options);
  return {
    form: `text of ${options.width} columns, ${options.colour ? 'coloured' : 'plain'}`,
    head: (result) => ({ name: resultName(result), text: headText(result, layout) }),
    rest: (result) => restText(result, layout),
    partOfFinding: (finding) => `${findingText(finding, layout)}\n`,
  };
}

/** The outcome for a terminal. Ends with a line break. */
export function renderText(outcome: ReviewOutcome, options: TextOptions): string {
  const teller = textTeller(options);
  const names = new Map<string, number>();
  const full = inFull(outcome.results, lookOfResult);
  const results = outcome.results.map((result) => {
    const { name, text } = teller.head(result);
    if (!names.has(name)) names.set(name, names.size);
    const { file, verdict } = result;
    const told = { file, verdict, name: names.get(name)!, head: text };
    return full.has(result) ? { ...told, rest: teller.rest(result) } : told;
  });
  const untold = outcome.results.filter((result) => !full.has(result)).flatMap(({ findings }) => findings);
  const { verdict, unreadable } = outcome;
  const files = findingsOfFiles(outcome);
  const shown = inFullOfFiles(files, (finding) => rankOf(finding) === ERROR_RANK);
  const told: ToldOutcome = {
    ...{ verdict, unreadable, results },
    untold: countsOfRules(untold),
    counts: countsOf(outcome.findings),
    ofFiles: files.slice(0, shown).map((finding) => teller.partOfFinding(finding)),
    untoldOfFiles: countsOfRules(files.slice(shown)),
  };
  return new TextDecoder().decode(renderTold(told, options));
}

function lookOfResult({ verdict, findings }: JudgedResult): Tellable {
  return { verdict, isNoted: findings.length > 0, hasError: findings.some((f) => rankOf(f) === ERROR_RANK) };
}

/**
 * Failed and undecided results with verdict, figures, findings and what to do next, as far as they are told in full, then passes in a line
 * each, faults of files, and the count. In UTF-8, as most of it was kept in; ends with a line break.
 */
export function renderTold(outcome: ToldOutcome, options: TextOptions): Uint8Array {
  const { results, untold, ofFiles, untoldOfFiles } = outcome;
  const layout = layoutOf(options);
  const text = new TextPieces();
  const firstPass = results.findIndex(({ verdict }) => verdict === 'pass');
  const open = firstPass < 0 ? results : results.slice(0, firstPass);
  const passed = results.slice(open.length);
  for (const { head, rest } of open) {
    text.add(head);
    if (rest !== undefined) text.add(rest);
  }
  if (open.some(({ rest }) => rest === undefined)) text.add('\n');
  const alike = filesSharingNames(passed);
  for (const { file, head, rest } of passed) {
    text.add(head);
    if (alike.has(file)) text.add(`${layout.paragraph(2, '', file, 'quiet').join('\n')}\n`);
    if (rest !== undefined) text.add(rest);
  }
  if (passed.length > 0) text.add('\n');
  if (untold.length > 0) text.add(`${layout.paragraph(0, '', untoldSentence(untold)).join('\n')}\n\n`);
  if (ofFiles.length > 0) text.add(`${layout.paint('Files', 'strong')}\n`);
  for (const piece of ofFiles) text.add(piece);
  if (untoldOfFiles.length > 0) text.add(`${layout.paragraph(2, '', moreOfFiles(untoldOfFiles)).join('\n')}\n`);
  if (ofFiles.length > 0) text.add('\n');
  text.add(`${summary(outcome, layout).join('\n')}\n`);
  return text.join();
}

function untoldSentence(counts: readonly RuleCount[]): string {
  return (
    `The first ${MOST_IN_FULL} results that have more to say are told in full. Findings of the others: ${rulesText(counts)}. ` +
    'Name a folder, spec or result to be told of those alone; --format json has all of them.'
  );
}

function moreOfFiles(counts: readonly RuleCount[]): string {
  const all = counts.reduce((sum, { count }) => sum + count, 0);
  return `${countText(all, 'more finding')} of files, none of them an error that counts: ${rulesText(counts)}; --format json has all of them.`;
}

function rulesText(counts: readonly RuleCount[]): string {
  return listText(counts.map(({ rule, count }) => `${count} ${rule}`));
}

function layoutOf({ colour, width }: TextOptions): TerminalLayout {
  return new TerminalLayout(colour, Math.max(40, width));
}

function headText(result: JudgedResult, layout: TerminalLayout): string {
  const { specId, file, verdict } = result;
  const lines: string[] = [];
  layout.addParagraph(lines, 0, '', verdictSentence(result), verdict);
  if (verdict !== 'pass') layout.addParagraph(lines, 2, '', specId === '' ? file : `${specId}, ${file}`, 'quiet');
  return `${lines.join('\n')}\n`;
}

function restText(result: JudgedResult, layout: TerminalLayout): string {
  const { verdict, findings } = result;
  const lines: string[] = [];
  if (verdict === 'pass') {
    for (const finding of findings) addFinding(lines, finding, layout, 'short');
    return lines.length === 0 ? '' : `${lines.join('\n')}\n`;
  }
  layout.addParagraph(lines, 2, '', verdictAdvice(result));
  addDriftTable(lines, result, layout);
  lines.push('');
  addFacts(lines, factsOf(result, verdictSentence(result)), layout);
  if (findings.length > 0) lines.push('');
  for (const finding of findings) addFinding(lines, finding, layout, 'full');
  return `${lines.join('\n')}\n\n`;
}

/** Facts under names of one width; the sweeps of one result share a name. */
function addFacts(lines: string[], facts: readonly Fact[], layout: TerminalLayout): void {
  let above = '';
  for (const [name, text] of facts) {
    const lead = name === above ? '' : name === 'Adjuster' ? 'Clicks' : name;
    layout.addParagraph(lines, 2, lead.padEnd(NAME_WIDTH), text, undefined, 'quiet');
    above = name;
  }
}
const NAME_WIDTH = 7;

/** Drift over tolerance as a row of figures a side at the worst setting: the chart that a terminal can hold. */
function addDriftTable(lines: string[], result: JudgedResult, layout: TerminalLayout): void {
  const [first, ...others] = rowsBySetting(result);
  const columns = first?.rows.map(columnOf) ?? [];
  if (first === undefined || columns.every(([, ...cells]) => cells.every((cell) => cell === NO_SHARE))) return;
  const setting = Object.keys(first.setting).length === 0 ? '' : ` at ${settingText(first.setting)}`;
  const head = `Percent of tolerance${setting}: + harder, - softer, ! outside, ? undecided`;
  lines.push('');
  layout.addParagraph(lines, 2, '', head, 'quiet');
  lines.push(...layout.columns(2, DRIFT_HEADS, columns));
  if (others.length === 0) return;
  const more = `${countText(others.length, 'more setting')}, ${stateOfOthers(others)}.`;
  layout.addParagraph(lines, 2, '', more, 'quiet');
}

const DRIFT_HEADS = ['mm/s', 'compression', 'rebound'];
const NO_SHARE = '- ';

function columnOf({ velocity, compression, rebound }: PointRow): readonly string[] {
  return [`${bare.speed(velocity)} `, shareCell(compression), shareCell(rebound)];
}

function shareCell(point: JudgedPoint | undefined): string {
  const share = signedShare(point);
  return point === undefined || share === undefined ? NO_SHARE : `${share}${verdictMark(point) || ' '}`;
}

function stateOfOthers(settings: readonly SettingRows[]): string {
  const counts = { fail: 0, undecided: 0, pass: 0 };
  for (const { rows } of settings)
    for (const { compression, rebound } of rows) {
      if (compression !== undefined) counts[compression.verdict] += 1;
      if (rebound !== undefined) counts[rebound.verdict] += 1;
    }
  const parts: string[] = [];
  if (counts.fail > 0) parts.push(`${countText(counts.fail, 'point')} outside`);
  if (counts.undecided > 0) parts.push(`${counts.undecided} undecided`);
  return parts.length === 0 ? 'every point inside' : parts.join(', ');
}

const LEVEL_PAINT: Readonly<Record<Finding['level'], Paint>> = { error: 'fail', warning: 'undecided', note: 'quiet' };

function findingText(finding: Finding, layout: TerminalLayout): string {
  const lines: string[] = [];
  addFinding(lines, finding, layout, 'full');
  return lines.join('\n');
}

function addFinding(lines: string[], finding: Finding, layout: TerminalLayout, size: 'full' | 'short'): void {
  const { level, message, file, position, rule } = finding;
  const waiver = waiverText(finding);
  if (waiver === undefined) {
    layout.addParagraph(lines, 2, level.padEnd(9), message, undefined, LEVEL_PAINT[level]);
    if (size === 'full') lines.push(...adviceLines(finding, layout));
  } else {
    layout.addParagraph(lines, 2, 'waived   ', message, undefined, 'quiet');
    layout.addParagraph(lines, 11, '', waiver, 'quiet');
  }
  layout.addParagraph(lines, 11, '', `${file}:${position.line}  ${rule}`, 'quiet');
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

function summary(outcome: ToldOutcome, layout: TerminalLayout): string[] {
  const some = (verdict: Verdict): boolean => outcome.results.some((result) => result.verdict === verdict);
  return [
    ...layout.paragraph(
      0,
      `${verdictWord(outcome.verdict)}  `,
      summarySentences(outcome.results, outcome.counts).join(' '),
      undefined,
      outcome.verdict,
    ),
    ...(outcome.unreadable ? layout.paragraph(0, '', 'At least one file could not be read; it is listed above.') : []),
    ...(some('pass') ? layout.paragraph(0, '', PASS_CAUTION, 'quiet') : []),
    ...(some('fail') ? layout.paragraph(0, '', GAS_CAUTION, 'quiet') : []),
  ];
}
