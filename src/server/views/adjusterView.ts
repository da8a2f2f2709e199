import { propertyTheme } from '../../charts/theme';
import type { AdjusterReview } from '../../review/adjusters/adjusterReview';
import type { JudgedResult, Verdict } from '../../review/judgedResult';
import { ADJUSTER_RULES } from '../../review/rules/entriesOfAdjusters';
import { unitLabel } from '../../review/wording';
import {
  ratioDrawing,
  reachDrawing,
  settingsDrawing,
  stepTable,
  stepVelocityDrawing,
  type StepTable,
} from '../../reports/adjusterFigures';
import { adjusterSentences } from '../../reports/adjustersStory';
import type { Drawing } from '../../reports/pageFigures';
import { spellHidden } from '../../text/visible';
import type { AdjusterView, ChartView, TableView } from '../../protocol/views';
import { chartRoom, type ChartRoom } from './chartRoom';
import { chartView, findingView } from './resultParts';

/** Pixels that axis and the names of bands beside the plot take, in the widest letters that a reader's system was seen to have. */
const BESIDE = 188;
/** Small panels beside each other, on a wide page and on a narrow one. */
const PANELS = { wide: 4, narrow: 2 };
/** Sweeps that are drawn; a grid of settings holds hundreds. */
const MOST_DRAWN = 6;
const FAILED: ReadonlySet<string> = new Set(['uneven', 'wrong way']);

/** What the adjusters of a result do; undefined where none was moved. @param width pixels that the page has for a chart */
export function adjusterView(
  result: JudgedResult,
  uriOf: (path: string) => string,
  width?: number,
): AdjusterView | undefined {
  const room = chartRoom(width, { beside: BESIDE });
  const { adjusters } = result;
  if (adjusters === undefined) return undefined;
  const sweeps = adjusters.sweeps.slice(0, MOST_DRAWN);
  const findings = result.findings.filter(({ rule }) => Object.hasOwn(ADJUSTER_RULES, rule));
  return {
    page: 'adjusters',
    uri: uriOf(result.file),
    title: spellHidden(`Adjusters of ${unitLabel(result)}`),
    sentences: adjusterSentences(result).map(spellHidden),
    facts: [],
    settings: [],
    charts: [
      ...drawnOf('reach', reachDrawing(result, adjusters, lookOf(room)), room),
      ...sweeps.flatMap((sweep, i) => chartsOf(result, sweep, i + 1, room)),
    ],
    tables: adjusters.sweeps.flatMap((sweep, i) => {
      const table = stepTable(sweep);
      return table === undefined ? [] : [tableView(table, i + 1)];
    }),
    findings: findings.map((finding) => findingView(finding, uriOf)),
    steps: [],
    cautions: [],
  };
}

function chartsOf(result: JudgedResult, sweep: AdjusterReview, number: number, room: ChartRoom): readonly ChartView[] {
  const look = lookOf(room);
  return [
    ...drawnOf(`ratio-${number}`, ratioDrawing(result, sweep, look), room),
    ...drawnOf(`velocity-${number}`, stepVelocityDrawing(result, sweep, look), room),
    ...drawnOf(`settings-${number}`, settingsDrawing(result, sweep, look), room),
  ];
}

function lookOf({ plot, isNarrow }: ChartRoom) {
  return { theme: propertyTheme(), width: plot, columns: isNarrow ? PANELS.narrow : PANELS.wide };
}

function drawnOf(id: string, drawing: Drawing | undefined, room: ChartRoom): readonly ChartView[] {
  return drawing === undefined ? [] : [chartView(id, drawing, room)];
}

function tableView({ caption, heads, rows }: StepTable, number: number): TableView {
  return {
    id: `steps-${number}`,
    caption: spellHidden(caption),
    columns: heads.map((head, i) => ({ head: spellHidden(head), numeric: i < heads.length - 1 })),
    rows: rows.map((cells) => {
      const verdict: Verdict | undefined = FAILED.has(cells.at(-1) ?? '') ? 'fail' : undefined;
      return { cells: cells.map(spellHidden), ...(verdict !== undefined && { verdict }) };
    }),
    folded: number > 1,
  };
}
