import type { BranchChanges, ChangedResult } from '../changes/branchChanges';
import type { Finding } from '../review/finding';
import { verdictWord } from '../review/verdictSentence';
import { adviceOf, waiverText } from './resultStory';
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
import { TerminalLayout, type Paint } from './terminalLayout';
import type { TextOptions } from './text';

const LEVEL_PAINT: Readonly<Record<Finding['level'], Paint>> = { error: 'fail', warning: 'undecided', note: 'quiet' };
/** Logs are many and say little by their names. */
const MOST_LOGS = 8;

/** What a branch changes, for a terminal: what moved that results are judged by, then results before and after, then findings. */
export function renderBranchText(changes: BranchChanges, options: TextOptions): string {
  const layout = new TerminalLayout(options.colour, Math.max(40, options.width));
  const blocks = [
    [
      ...layout.paragraph(0, '', `${verdictWord(changes.verdict)}: ${countsSentence(changes)}`, changes.verdict),
      ...layout.paragraph(0, '', baseSentence(changes), 'quiet'),
      ...layout.paragraph(0, '', movedSentence(changes), 'strong'),
    ],
    movedBesides(changes).flatMap((item) => [
      ...layout.paragraph(0, '- ', movedText(item)),
      ...layout.paragraph(2, '', `${item.file}${item.line === undefined ? '' : `:${item.line}`}`, 'quiet'),
    ]),
    changes.findings.filter(isAboutBranch).flatMap((finding) => findingLines(finding, layout)),
    ...changes.results.map((result) => resultLines(changes, result, layout)),
    logLines(changes, layout),
    changes.findings.filter((finding) => !isAboutBranch(finding)).flatMap((finding) => findingLines(finding, layout)),
    changes.notes.flatMap((note) => layout.paragraph(0, '', note, 'quiet')),
  ];
  return `${blocks
    .filter((block) => block.length > 0)
    .map((block) => block.join('\n'))
    .join('\n\n')}\n`;
}

function resultLines(changes: BranchChanges, result: ChangedResult, layout: TerminalLayout): string[] {
  const { before, after } = resultSides(result);
  const turned = turnedOf(changes, result);
  const from = result.from === undefined ? '' : ` from ${result.from}`;
  const what =
    turned === undefined
      ? result.change
      : `${result.change === 'unchanged' ? '' : `${result.change}, `}${turnedPhrase(turned)}`;
  return [
    ...layout.paragraph(0, '', `${result.file}: ${what}${from}`, 'strong'),
    ...(before === undefined ? [] : layout.paragraph(2, 'before  ', before, result.before?.verdict, 'quiet')),
    ...(after === undefined ? [] : layout.paragraph(2, 'now     ', after, result.after?.verdict, 'quiet')),
  ];
}

function logLines({ logs }: BranchChanges, layout: TerminalLayout): string[] {
  if (logs.length === 0) return [];
  const more = logs.length - MOST_LOGS;
  return [
    layout.paint('Logs', 'strong'),
    ...logs.slice(0, MOST_LOGS).flatMap(({ file, change }) => layout.paragraph(2, `${change.padEnd(8)} `, file)),
    ...(more > 0 ? layout.paragraph(2, '', `${more} more`, 'quiet') : []),
  ];
}

function findingLines(finding: Finding, layout: TerminalLayout): string[] {
  const waiver = waiverText(finding);
  const level = waiver === undefined ? finding.level : 'waived';
  const paint = waiver === undefined ? LEVEL_PAINT[finding.level] : 'quiet';
  const { next } = adviceOf(finding);
  return [
    ...layout.paragraph(0, `${level.padEnd(8)} `, finding.message, undefined, paint),
    ...layout.paragraph(9, '', `${finding.file}:${finding.position.line} ${finding.rule}`, 'quiet'),
    ...(next === '' || waiver !== undefined ? [] : layout.paragraph(9, 'Next: ', next)),
    ...(waiver === undefined ? [] : layout.paragraph(9, '', waiver, 'quiet')),
  ];
}
