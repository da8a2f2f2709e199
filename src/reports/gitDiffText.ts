import { SIDES, type Side } from '../analysis/side';
import type { RowChange } from '../review/tableChange';
import { countText, settingText } from '../review/wording';
import { bare } from '../text/figures';
import { escapeTerminal } from '../text/terminal';
import { settingKey } from '../review/referenceCurves';
import { TerminalLayout } from './terminalLayout';

/** What `git diff` shows of a result or of reference curves. */
export interface GitDiffContent {
  readonly path: string;
  readonly change: 'added' | 'removed' | 'changed';
  /** Its former path, where git took it for renamed. */
  readonly from?: string;
  readonly preamble: readonly { readonly key: string; readonly before?: string; readonly after?: string }[];
  readonly rows: readonly RowChange[];
  readonly problem?: string;
  /** Lines of both states, for what is no table. */
  readonly lines: { readonly before: readonly string[]; readonly after: readonly string[] };
}

const MARK: Readonly<Record<RowChange['change'], string>> = { added: '+', removed: '-', changed: ' ', same: ' ' };
const LONGEST_VALUE = 60;
const HEAD = ['old', 'new', 'drift', '%'] as const;
const WIDTHS = [10, 9, 9, 8] as const;

/** One file of a diff as an aligned table of old, new and drift; what is no table line by line. Ends with a line break. */
export function renderGitDiff(content: GitDiffContent, colour: boolean): string {
  const layout = new TerminalLayout(colour, Infinity);
  const from = content.from === undefined ? '' : ` (was ${content.from})`;
  const change = content.change === 'changed' ? '' : ` ${content.change}`;
  const lines = [
    layout.paint(escapeTerminal(`${content.path}${change}${from}`), 'strong'),
    ...content.preamble.map((key) => keyLine(key, layout)),
    ...(content.problem === undefined ? tableLines(content.rows, layout) : plainLines(content, layout)),
  ];
  return `${lines.join('\n')}\n\n`;
}

function keyLine({ key, before, after }: GitDiffContent['preamble'][number], layout: TerminalLayout): string {
  const value = (text: string | undefined): string => (text === undefined ? 'absent' : escapeTerminal(shortened(text)));
  return `  ${escapeTerminal(key)}: ${layout.paint(value(before), 'quiet')} -> ${value(after)}`;
}

function shortened(text: string): string {
  return text.length <= LONGEST_VALUE ? text : `${text.slice(0, LONGEST_VALUE - 1)}…`;
}

function tableLines(rows: readonly RowChange[], layout: TerminalLayout): string[] {
  const settings = new Map<string, RowChange[]>();
  for (const row of rows) {
    const key = settingKey(row.setting);
    settings.set(key, [...(settings.get(key) ?? []), row]);
  }
  const shown = [...settings.values()].filter((group) => group.some(({ change }) => change !== 'same'));
  const same = rows.filter(({ change }) => change === 'same').length;
  return [
    ...shown.flatMap((group) => settingLines(group, layout)),
    ...(same > 0 ? [layout.paint(`  ${countText(same, 'row')} as before`, 'quiet')] : []),
    ...(shown.length > 0
      ? [
          layout.paint(
            '  Damping force in N, compression positive; % harder; * more than the scatter between cycles',
            'quiet',
          ),
        ]
      : []),
  ];
}

function settingLines(rows: readonly RowChange[], layout: TerminalLayout): string[] {
  const { setting } = rows[0]!;
  const name = Object.keys(setting).length === 0 ? 'the only setting' : settingText(setting);
  const width = WIDTHS.reduce((sum, one) => sum + one, 0);
  const heads = SIDES.map((side) => side.padStart(WIDTHS[0] + 3).padEnd(width));
  const names = SIDES.map(() => HEAD.map((head, i) => head.padStart(WIDTHS[i]!)).join(''));
  return [
    '',
    `  ${layout.paint(escapeTerminal(name), 'strong')}`,
    layout.paint(`   ${' '.repeat(8)}${heads.join(' ')}`.trimEnd(), 'quiet'),
    layout.paint(`   ${'mm/s'.padStart(8)}${names.join(' ')}`, 'quiet'),
    ...rows.filter(({ change }) => change !== 'same').map((row) => rowLine(row, layout)),
  ];
}

function rowLine(row: RowChange, layout: TerminalLayout): string {
  const speed = `${bare.speed(row.velocity)}${row.pass > 1 ? `/${row.pass}` : ''}`;
  const cells = SIDES.map((side) => sideCells(row, side, layout)).join(' ');
  const line = ` ${MARK[row.change]} ${speed.padStart(8)}${cells}`.trimEnd();
  return row.change === 'added'
    ? layout.paint(line, 'pass')
    : row.change === 'removed'
      ? layout.paint(line, 'fail')
      : line;
}

function sideCells(row: RowChange, side: Side, layout: TerminalLayout): string {
  const force = row.sides[side];
  const figure = (value: number | undefined, write: (value: number) => string): string =>
    value === undefined || !Number.isFinite(value) ? '' : write(value);
  const drift = `${figure(force?.drift, bare.signedForce)}${force?.beyondScatter === true ? '*' : ' '}`;
  const cells = [
    figure(force?.before, bare.force),
    figure(force?.after, bare.force),
    drift,
    figure(force?.harder, bare.signedPercent),
  ].map((cell, i) => cell.padStart(WIDTHS[i]!));
  if (row.change !== 'changed') return cells.join('');
  const paint =
    force?.harder === undefined || cells[2]!.trim() === '0.0' ? undefined : force.harder < 0 ? 'fail' : 'pass';
  return [layout.paint(cells[0]!, 'quiet'), cells[1]!, layout.paint(cells[2]!, paint), cells[3]!].join('');
}

/** What both share at either end is left out; the rest is told as gone and come. */
function plainLines({ problem, lines: { before, after } }: GitDiffContent, layout: TerminalLayout): string[] {
  let start = 0;
  while (start < Math.min(before.length, after.length) && before[start] === after[start]) start += 1;
  let end = 0;
  while (
    end < Math.min(before.length, after.length) - start &&
    before[before.length - 1 - end] === after[after.length - 1 - end]
  )
    end += 1;
  const write = (mark: string, line: string): string =>
    layout.paint(escapeTerminal(`${mark}${line}`), mark === '-' ? 'fail' : 'pass');
  return [
    layout.paint(`  ${escapeTerminal(problem ?? '')}`, 'undecided'),
    ...before.slice(start, before.length - end).map((line) => write('-', line)),
    ...after.slice(start, after.length - end).map((line) => write('+', line)),
  ];
}
