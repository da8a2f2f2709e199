import type { BranchChanges, ChangedResult } from '../../changes/branchChanges';
import type { MovedItem } from '../../changes/movedItems';
import { leadingSetting } from '../../charts/pointSets';
import { propertyTheme } from '../../charts/theme';
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
} from '../../reports/branchStory';
import { driftDrawing } from '../../reports/pageFigures';
import { verdictWord } from '../../review/verdictSentence';
import { countText, unitLabel } from '../../review/wording';
import { spellHidden } from '../../text/visible';
import type { BranchRowView, BranchView, ChartView, ComparedPair, MovedView, TableView } from '../../protocol/views';
import { beforeAfterTable } from './beforeAfterTable';
import { driftPoints } from './chartPoints';
import { chartRoom, type ChartRoom } from './chartRoom';
import { chartView, findingView, rowNumber } from './resultParts';

/** Widest plot and height of a panel of the small charts [px]. */
const SMALL = { width: 340, height: 62 };
/** Charts of so many results are drawn where no more are asked for; the others are listed with their verdicts. */
const FIRST_DRAWN = 40;
/** Longest list of things and of findings on a page that a person reads. */
const MOST_LISTED = 200;
const SHORT_COMMIT = 12;

export interface BranchAsked {
  /** Revision that was asked for; '' where none was. */
  readonly base: string;
  /** Folder of the repository. */
  readonly uri: string;
  readonly uriOf: (path: string) => string;
  /** Results whose charts are asked for. */
  readonly drawn?: number | undefined;
  /** Pixels across that the page has for a chart. */
  readonly width?: number | undefined;
}

/** The branch against its base: what moved first, then every changed result with its verdict before and after. */
export function branchView(changes: BranchChanges, asked: BranchAsked): BranchView {
  const results = turnedFirst(changes);
  const moved = movedBesides(changes);
  const findings = changes.findings.map((finding) => ({
    about: isAboutBranch(finding),
    view: findingView(finding, asked.uriOf),
  }));
  const drawn = Math.max(FIRST_DRAWN, Math.floor(asked.drawn ?? 0));
  const room = chartRoom(asked.width, { widest: SMALL.width });
  const of = (about: boolean) => findings.filter((one) => one.about === about).map(({ view }) => view);
  return {
    page: 'branch',
    base: asked.base,
    uri: asked.uri,
    title: 'What this branch changes',
    verdict: changes.verdict,
    verdictWord: verdictWord(changes.verdict),
    sentences: [
      movedSentence(changes),
      countsSentence(changes),
      baseSentence(changes),
      ...changes.notes,
      ...leftOut(results.length, drawn, 'result', 'listed without a chart; the button below them draws more'),
      ...leftOut(of(false).length, MOST_LISTED, 'finding', 'not listed here; "check" lists them'),
    ].map(spellHidden),
    facts: [],
    settings: [],
    charts: [],
    tables: [...resultTable(changes, results), ...logTable(changes)],
    moved: moved.map((item) => movedView(item, changes, asked)),
    about: of(true),
    findings: of(false).slice(0, MOST_LISTED),
    steps: [],
    cautions: [],
    changed: results.map((result, i) => rowView(changes, result, i, i < drawn ? room : undefined, asked)),
    drawn: Math.min(drawn, results.length),
  };
}

function leftOut(count: number, most: number, one: string, where: string): string[] {
  return count > most ? [`${countText(count - most, `more ${one}`)} ${where}.`] : [];
}

/** What turned is what a reviewer came for; else in the order of the files. */
function turnedFirst(changes: BranchChanges): readonly ChangedResult[] {
  const isTurned = (result: ChangedResult): boolean => turnedOf(changes, result) !== undefined;
  return [...changes.results.filter(isTurned), ...changes.results.filter((result) => !isTurned(result))];
}

function movedView(item: MovedItem, changes: BranchChanges, { uriOf }: BranchAsked): MovedView {
  const { kind, change, file, from, line } = item;
  const compare =
    kind === 'reference' && change === 'changed' ? acrossBase(changes, from ?? file, file, uriOf) : undefined;
  return {
    text: spellHidden(movedText(item)),
    file: spellHidden(file),
    ...(!isGone(item) && { uri: uriOf(file) }),
    line: line ?? 1,
    ...(compare !== undefined && { compare }),
  };
}

/** What else is removed is taken out of a file that stays. */
function isGone({ kind, change }: MovedItem): boolean {
  return change === 'removed' && (kind === 'reference' || kind === 'spec');
}

/** @param room absent where the result is listed without a chart */
function rowView(
  changes: BranchChanges,
  result: ChangedResult,
  index: number,
  room: ChartRoom | undefined,
  asked: BranchAsked,
): BranchRowView {
  const { before, after, file, from } = result;
  const { before: was, after: now } = resultSides(result);
  const chart = room === undefined ? undefined : chartOf(result, index, room);
  const table = room === undefined ? undefined : beforeAfterTable(result, `points-${index + 1}`);
  const compare =
    before === undefined || after === undefined ? undefined : acrossBase(changes, from ?? file, file, asked.uriOf);
  return {
    id: `changed-${index + 1}`,
    label: spellHidden(unitLabel(after ?? before ?? { serial: '', build: '', file })),
    file: spellHidden(file),
    change: spellHidden(changeText(changes, result)),
    ...(after !== undefined && { uri: asked.uriOf(file), after: after.verdict }),
    ...(before !== undefined && { before: before.verdict }),
    ...(was !== undefined && { was: spellHidden(was) }),
    ...(now !== undefined && { now: spellHidden(now) }),
    ...(chart !== undefined && { chart }),
    ...(table !== undefined && { table }),
    ...(compare !== undefined && { compare }),
  };
}

/** `changed: pass to fail with the measurement`, `renamed from dampers/F-2/…`; what turned while its own files stayed is only that. */
function changeText(changes: BranchChanges, result: ChangedResult): string {
  const turned = turnedOf(changes, result);
  const own = result.from === undefined ? result.change : `${result.change} from ${result.from}`;
  if (turned === undefined) return own;
  return result.change === 'unchanged' ? turnedPhrase(turned) : `${own}: ${turnedPhrase(turned)}`;
}

function acrossBase(
  changes: BranchChanges,
  before: string,
  after: string,
  uriOf: (path: string) => string,
): ComparedPair {
  return { a: `${uriOf(before)}@${changes.base.commit.slice(0, SHORT_COMMIT)}`, b: uriOf(after) };
}

/** Drift over tolerance as it is now, as it was behind it; of a result that is gone, as it was. */
function chartOf({ before, after }: ChangedResult, index: number, room: ChartRoom): ChartView | undefined {
  const shown = after ?? before;
  const setting = shown && leadingSetting(shown);
  if (shown === undefined || setting === undefined) return undefined;
  const earlier = after === undefined ? undefined : before?.points;
  const drawing = driftDrawing(shown, {
    theme: propertyTheme(),
    width: room.plot,
    height: SMALL.height,
    rowOf: (point) => rowNumber(shown, point),
    ...(earlier?.some(({ share }) => share !== undefined) === true && { before: earlier }),
  });
  return drawing && chartView(`drift-${index + 1}`, drawing, room, driftPoints(shown, setting));
}

function resultTable(changes: BranchChanges, results: readonly ChangedResult[]): TableView[] {
  if (results.length === 0) return [];
  return [
    {
      id: 'results',
      caption: 'Changed results',
      columns: ['Result', 'File', 'Before', 'Now', 'Change'].map((head) => ({ head, numeric: false })),
      rows: results.map((result) => {
        const { before, after, file } = result;
        return {
          cells: [
            unitLabel(after ?? before ?? { serial: '', build: '', file }),
            file,
            before?.verdict ?? '',
            after?.verdict ?? '',
            changeText(changes, result),
          ].map(spellHidden),
          ...(after !== undefined && { verdict: after.verdict }),
        };
      }),
      folded: true,
    },
  ];
}

function logTable({ logs }: BranchChanges): TableView[] {
  if (logs.length === 0) return [];
  return [
    {
      id: 'logs',
      caption: `Test logs that differ: ${logs.length}`,
      columns: ['Log', 'Change'].map((head) => ({ head, numeric: false })),
      rows: logs.map(({ file, change }) => ({ cells: [spellHidden(file), change] })),
      folded: true,
    },
  ];
}
