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
import { chartView, findingView } from './resultParts';

const LOOK = { theme: propertyTheme(), width: 640 };
/** Sweeps that are drawn; a grid of settings holds hundreds. */
const MOST_DRAWN = 6;
const FAILED: ReadonlySet<string> = new Set(['uneven', 'wrong way']);

/** What the adjusters of a result do; undefined where none was moved. */
export function adjusterView(result: JudgedResult, uriOf: (path: string) => string): AdjusterView | undefined {
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
      ...drawnOf('reach', reachDrawing(result, adjusters, LOOK)),
      ...sweeps.flatMap((sweep, i) => chartsOf(result, sweep, i + 1)),
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

function chartsOf(result: JudgedResult, sweep: AdjusterReview, number: number): readonly ChartView[] {
  return [
    ...drawnOf(`ratio-${number}`, ratioDrawing(result, sweep, LOOK)),
    ...drawnOf(`velocity-${number}`, stepVelocityDrawing(result, sweep, LOOK)),
    ...drawnOf(`settings-${number}`, settingsDrawing(result, sweep, LOOK)),
  ];
}

function drawnOf(id: string, drawing: Drawing | undefined): readonly ChartView[] {
  return drawing === undefined ? [] : [chartView(id, drawing)];
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
