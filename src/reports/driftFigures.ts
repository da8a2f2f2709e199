import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { JudgedPoint, JudgedResult } from '../review/judgedResult';
import { bare, withSign } from '../text/figures';
import { settingKey } from '../review/referenceCurves';

/** The points of a result as tables show them: one row a setting, velocity and pass, both sides beside each other. */
export interface PointRow {
  readonly setting: Setting;
  readonly velocity: number;
  readonly pass: number;
  readonly compression?: JudgedPoint;
  readonly rebound?: JudgedPoint;
}

export function pointRows(points: readonly JudgedPoint[]): readonly PointRow[] {
  const rows = new Map<string, { -readonly [Key in keyof PointRow]: PointRow[Key] }>();
  for (const point of points) {
    if (!Number.isFinite(point.force)) continue;
    const key = `${settingKey(point.setting)} ${point.velocity} ${point.pass}`;
    let row = rows.get(key);
    if (row === undefined) {
      row = { setting: point.setting, velocity: point.velocity, pass: point.pass };
      rows.set(key, row);
    }
    row[point.side] = point;
  }
  return [...rows.values()];
}

export interface SettingRows {
  readonly setting: Setting;
  readonly rows: readonly PointRow[];
}

/** Rows by setting, by rising velocity; the setting of the worst point first, then in the order of the file. */
export function rowsBySetting(result: JudgedResult): readonly SettingRows[] {
  const groups = new Map<string, { setting: Setting; rows: PointRow[] }>();
  for (const row of pointRows(result.points)) {
    const key = settingKey(row.setting);
    const group = groups.get(key) ?? { setting: row.setting, rows: [] };
    group.rows.push(row);
    groups.set(key, group);
  }
  const worst = result.worst === undefined ? undefined : result.points[result.worst];
  const first = worst === undefined ? undefined : settingKey(worst.setting);
  return [...groups]
    .map(([key, { setting, rows }]) => ({
      key,
      setting,
      rows: rows.sort((a, b) => a.velocity - b.velocity || a.pass - b.pass),
    }))
    .sort((a, b) => Number(b.key === first) - Number(a.key === first));
}

/** Percent of tolerance with its sign, harder positive: `-134`; undefined where the point has none. */
export function signedShare(point: JudgedPoint | undefined): string | undefined {
  if (point?.share === undefined || !Number.isFinite(point.share)) return undefined;
  const figure = bare.wholeShare(point.share);
  return Number(figure) === 0 ? figure : withSign(point.direction === 'softer' ? `-${figure}` : figure);
}

/** The mark beside a figure in plain text: outside, undecided, inside. */
export function verdictMark(point: JudgedPoint): '!' | '?' | '' {
  return point.verdict === 'fail' ? '!' : point.verdict === 'undecided' ? '?' : '';
}

export function sidesOf(row: PointRow): readonly (readonly [Side, JudgedPoint])[] {
  return (['compression', 'rebound'] as const).flatMap((side) => {
    const point = row[side];
    return point === undefined ? [] : [[side, point] as const];
  });
}
