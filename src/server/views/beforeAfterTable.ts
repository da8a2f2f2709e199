import type { ChangedResult } from '../../changes/branchChanges';
import { pointRows, signedShare, type PointRow } from '../../reports/driftFigures';
import { worseVerdict } from '../../review/bands';
import type { JudgedPoint, Verdict } from '../../review/judgedResult';
import { settingKey } from '../../review/referenceCurves';
import { settingText } from '../../review/wording';
import { bare } from '../../text/figures';
import { spellHidden } from '../../text/visible';
import type { RowView, TableView } from '../../protocol/views';

const HEADS = ['% before', '% now', 'Verdict'] as const;

interface BothRows {
  readonly before?: PointRow;
  readonly after?: PointRow;
}

/** Percent of tolerance of every point before and after, and its verdict; undefined where no point was held against a tolerance. */
export function beforeAfterTable({ before, after }: ChangedResult, id: string): TableView | undefined {
  const rows = new Map<string, BothRows>();
  for (const [side, result] of [['after', after] as const, ['before', before] as const])
    for (const row of pointRows(result?.points ?? [])) {
      const key = `${settingKey(row.setting)} ${bare.speed(row.velocity)} ${row.pass}`;
      rows.set(key, { ...rows.get(key), [side]: row });
    }
  const all = [...rows.values()];
  if (!all.some(({ before: was, after: now }) => [was, now].some(isJudged))) return undefined;
  return {
    id,
    caption: 'Percent of tolerance before and now, harder positive',
    columns: [
      { head: 'Setting', numeric: false },
      { head: 'mm/s', numeric: true },
      ...['Compression', 'Rebound'].flatMap((group) =>
        HEADS.map((head) => ({ head, group, numeric: head !== 'Verdict' })),
      ),
    ],
    rows: all.map(rowView),
    folded: true,
  };
}

function isJudged(row: PointRow | undefined): boolean {
  return [row?.compression, row?.rebound].some((point) => signedShare(point) !== undefined);
}

function rowView({ before, after }: BothRows): RowView {
  const shown = (after ?? before)!;
  const now = [after?.compression, after?.rebound].flatMap((point) => point?.verdict ?? []);
  const verdict = now.reduce<Verdict | undefined>(
    (worst, one) => (worst === undefined ? one : worseVerdict(worst, one)),
    undefined,
  );
  return {
    cells: [
      spellHidden(settingText(shown.setting)),
      `${bare.speed(shown.velocity)}${shown.pass > 1 ? ` (run ${shown.pass})` : ''}`,
      ...cellsOf(before?.compression, after?.compression),
      ...cellsOf(before?.rebound, after?.rebound),
    ],
    ...(verdict !== undefined && { verdict }),
  };
}

function cellsOf(before: JudgedPoint | undefined, after: JudgedPoint | undefined): string[] {
  const turned = before !== undefined && after !== undefined && before.verdict !== after.verdict;
  return [
    signedShare(before) ?? '',
    signedShare(after) ?? '',
    turned ? `${before.verdict} to ${after.verdict}` : (after?.verdict ?? ''),
  ];
}
