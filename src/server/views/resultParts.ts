import type { Finding } from '../../review/finding';
import type { JudgedPoint, JudgedResult, Verdict } from '../../review/judgedResult';
import { RULES } from '../../review/rules/catalogue';
import { worseVerdict } from '../../review/bands';
import { settingText } from '../../review/wording';
import { rowsBySetting, type PointRow, type SettingRows } from '../../reports/driftFigures';
import { evidenceText } from '../../reports/evidenceText';
import type { Drawing } from '../../reports/pageFigures';
import { POINT_COLUMNS } from '../../reports/pointCells';
import { adviceOf, waiverText } from '../../reports/resultStory';
import { bare } from '../../text/figures';
import { spellHidden } from '../../text/visible';
import type { ChartRoom } from './chartRoom';
import type { ChartView, ColumnView, FindingView, PointView, RowView, TableView } from '../../protocol/views';

/** Parts of a page, each from the objects and with the figures of the reports. Texts have their hidden characters spelled out. */

export function findingView(finding: Finding, uriOf: (path: string) => string): FindingView {
  const { next, background } = adviceOf(finding);
  const waiver = waiverText(finding);
  return {
    rule: finding.rule,
    title: RULES.get(finding.rule)?.title ?? finding.rule,
    level: finding.waived === undefined ? finding.level : 'waived',
    message: spellHidden(finding.message),
    evidence: spellHidden(evidenceText(finding.evidence)),
    next: spellHidden(next),
    background: spellHidden(background),
    ...(waiver !== undefined && { waiver: spellHidden(waiver) }),
    uri: uriOf(finding.file),
    line: finding.position.line,
  };
}

export function chartView(
  id: string,
  drawing: Drawing,
  { fitted }: ChartRoom,
  points?: readonly PointView[],
): ChartView {
  return {
    id,
    title: spellHidden(drawing.title),
    description: spellHidden(drawing.caption),
    spec: fitted(drawing.spec),
    ...(points !== undefined && points.length > 0 && { points }),
  };
}

/** A number that stands for a point's row on the page: its line in the file, or where none was written its place in the table from 1. */
export function rowNumber(result: JudgedResult, point: Pick<JudgedPoint, 'row'>): number {
  const line = result.table.rows[point.row]?.line ?? 0;
  return line > 0 ? line : point.row + 1;
}

const POINT_HEADS: readonly ColumnView[] = [
  { head: 'mm/s', numeric: true },
  ...['Compression', 'Rebound'].flatMap((group) => [
    ...POINT_COLUMNS.map(({ head }) => ({ head, group, numeric: true })),
    { head: 'Verdict', group, numeric: false },
  ]),
];

/** The tables of points of the report, the chosen setting's open. */
export function pointTables(result: JudgedResult, isChosen: (group: SettingRows) => boolean): readonly TableView[] {
  return rowsBySetting(result).map((group, i) => {
    const names = Object.keys(group.setting).length === 0 ? '' : `${settingText(group.setting)}, `;
    return {
      id: `points-${i + 1}`,
      caption: spellHidden(`${names}forces in N`.replace(/^f/, 'F')),
      columns: POINT_HEADS,
      rows: group.rows.map((row) => pointRow(result, row)),
      folded: !isChosen(group),
    };
  });
}

function pointRow(result: JudgedResult, row: PointRow): RowView {
  const sides = [row.compression, row.rebound];
  const measured = sides.filter((point) => point !== undefined);
  const verdict = measured
    .map((point) => point.verdict)
    .reduce<Verdict | undefined>((worst, one) => (worst === undefined ? one : worseVerdict(worst, one)), undefined);
  return {
    ...(measured[0] !== undefined && { row: rowNumber(result, measured[0]) }),
    cells: [
      `${bare.speed(row.velocity)}${row.pass > 1 ? ` (run ${row.pass})` : ''}`,
      ...sides.flatMap((point) =>
        point === undefined
          ? [...POINT_COLUMNS.map(() => ''), '']
          : [...POINT_COLUMNS.map(({ cell }) => cell(point)), point.verdict],
      ),
    ],
    ...(verdict !== undefined && { verdict }),
  };
}
