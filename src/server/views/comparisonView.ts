import { comparisonDifference, comparisonOverlay } from '../../charts/comparisonCharts';
import { propertyTheme } from '../../charts/theme';
import type { Setting } from '../../files/spec';
import type { ComparedRun, Comparison } from '../../review/comparison';
import {
  COMPARED_HEADS,
  comparedCells,
  comparedSettings,
  meanSentence,
  runTexts,
  SCATTER_NOTE,
  settingName,
  unmatchedSentences,
  type ComparedSetting,
  type RunText,
} from '../../reports/comparisonStory';
import { bare } from '../../text/figures';
import { spellHidden } from '../../text/visible';
import type { ChartView, ComparedSideView, ComparisonView, TableView } from '../../protocol/views';
import { chartRoom, type ChartRoom } from './chartRoom';
import { chartView } from './resultParts';

export interface ComparedTargets {
  readonly a: string;
  readonly b: string;
}

/** Charts of so many settings are drawn; tables are shown of all. */
const MOST_CHARTS = 6;

/** Two runs beside each other, with the sentences and figures of the report of a comparison. @param width pixels that the page has for a chart */
export function comparisonView(
  comparison: Comparison,
  targets: ComparedTargets,
  uriOf: (path: string) => string,
  width?: number,
): ComparisonView {
  const room = chartRoom(width);
  const [a, b] = runTexts(comparison);
  const mean = meanSentence(comparison);
  const groups = comparedSettings(comparison);
  const spec = specTable(comparison);
  return {
    page: 'comparison',
    title: spellHidden(`${a.label} against ${b.label}`),
    a: sideView(a, comparison.a, targets.a, uriOf),
    b: sideView(b, comparison.b, targets.b, uriOf),
    sentences: [
      comparison.statement,
      ...(mean === undefined ? [] : [`Mean of B against A: ${mean}.`]),
      ...comparison.basis,
      ...unmatchedSentences(comparison),
    ].map(spellHidden),
    facts: [a, b].map(({ letter, about }) => ({ name: letter, text: spellHidden(about) })),
    settings: [],
    charts: groups.slice(0, MOST_CHARTS).flatMap(({ setting }, i) => chartsOf(comparison, setting, i + 1, room)),
    tables: [...(spec === undefined ? [] : [spec]), ...groups.map(settingTable)],
    findings: [],
    steps: [],
    cautions: [],
  };
}

function sideView(
  { label, about }: RunText,
  run: ComparedRun,
  target: string,
  uriOf: (path: string) => string,
): ComparedSideView {
  return { target, label: spellHidden(label), about: spellHidden(about), uri: uriOf(run.file) };
}

function chartsOf(comparison: Comparison, setting: Setting, number: number, room: ChartRoom): readonly ChartView[] {
  const [a, b] = runTexts(comparison);
  const options = {
    theme: propertyTheme(),
    width: room.plot,
    setting,
    names: [`A: ${a.label}`, `B: ${b.label}`] as const,
  };
  const name = settingName(setting);
  const overlay = comparisonOverlay(comparison, { ...options, height: 250 });
  const difference = comparisonDifference(comparison, { ...options, height: 100 });
  return [
    ...(overlay === undefined
      ? []
      : [
          chartView(
            `overlay-${number}`,
            {
              spec: overlay,
              title: `${name}: damping force of ${a.label} and ${b.label}`,
              caption: 'Damping force over peak velocity. A dashed, B solid.',
            },
            room,
          ),
        ]),
    ...(difference === undefined
      ? []
      : [
          chartView(
            `difference-${number}`,
            {
              spec: difference,
              title: `${name}: difference of ${b.label} from ${a.label}`,
              caption: 'B less A, harder upwards. Bars are the expanded uncertainty of the difference, 95\u00a0%.',
            },
            room,
          ),
        ]),
  ];
}

function specTable({ specChanges }: Comparison): TableView | undefined {
  if (specChanges.length === 0) return undefined;
  const cell = (text: string): string => (text === '' ? 'absent' : spellHidden(text));
  return {
    id: 'spec-changes',
    caption: 'Keys of the spec that differ',
    columns: ['Key', 'A', 'B'].map((head) => ({ head, numeric: false })),
    rows: specChanges.map(({ key, a, b }) => ({ cells: [spellHidden(key), cell(a), cell(b)] })),
    folded: false,
  };
}

function settingTable({ setting, rows }: ComparedSetting, index: number): TableView {
  return {
    id: `compared-${index + 1}`,
    caption: spellHidden(`${settingName(setting)}. ${SCATTER_NOTE}`),
    columns: [
      { head: 'mm/s', numeric: true },
      ...['Compression', 'Rebound'].flatMap((group) => COMPARED_HEADS.map((head) => ({ head, group, numeric: true }))),
    ],
    rows: rows.map((row) => ({
      cells: [
        `${bare.speed(row.velocity)}${row.pass > 1 ? ` (run ${row.pass})` : ''}`,
        ...comparedCells(row.compression),
        ...comparedCells(row.rebound),
      ],
    })),
    folded: index > 0,
  };
}
