import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { JudgedPoint, JudgedResult } from '../review/judgedResult';
import { bare } from '../text/figures';
import { settingKey } from '../review/referenceCurves';

/** The points of a result as tables show them: one row a setting, velocity and pass, both sides beside each other. */
export interface PointRow {
  readonly setting: Setting;
  readonly velocity: number;
  readonly pass: number;
  readonly compression?: JudgedPoint;
  readonly rebound?: JudgedPoint;
}

export interface SettingRows {
  readonly setting: Setting;
  readonly rows: readonly PointRow[];
}

type Row = { -readonly [Key in keyof PointRow]: PointRow[Key] };

/** Rows of one setting in the order of their first points. */
class RowsOfSetting implements SettingRows {
  readonly rows: Row[] = [];
  readonly #known = new Map<number, Row[]>();

  constructor(
    readonly setting: Setting,
    readonly key: string,
  ) {}

  /** The row of this point, where it is there. */
  find({ velocity, pass }: JudgedPoint): Row | undefined {
    return this.#known.get(velocity)?.find((row) => row.pass === pass);
  }

  add({ setting, velocity, pass }: JudgedPoint): Row {
    const row: Row = { setting, velocity, pass };
    const atVelocity = this.#known.get(velocity);
    if (atVelocity === undefined) this.#known.set(velocity, [row]);
    else atVelocity.push(row);
    this.rows.push(row);
    return row;
  }
}

/** Puts the points into rows. @param meet is shown each row as its first point is met */
function groupRows(points: readonly JudgedPoint[], meet?: (row: PointRow) => void): RowsOfSetting[] {
  const groups = new Map<string, RowsOfSetting>();
  let group: RowsOfSetting | undefined;
  let row: Row | undefined;
  for (const point of points) {
    if (!Number.isFinite(point.force)) continue;
    // The two sides of a row follow each other, and the rows of a setting mostly do.
    if (group === undefined || point.setting !== group.setting) {
      const key = settingKey(point.setting);
      group = groups.get(key);
      if (group === undefined) groups.set(key, (group = new RowsOfSetting(point.setting, key)));
      row = undefined;
    }
    if (row === undefined || row.velocity !== point.velocity || row.pass !== point.pass) {
      row = group.find(point);
      if (row === undefined) {
        row = group.add(point);
        meet?.(row);
      }
    }
    row[point.side] = point;
  }
  return [...groups.values()];
}

export function pointRows(points: readonly JudgedPoint[]): readonly PointRow[] {
  const rows: PointRow[] = [];
  groupRows(points, (row) => rows.push(row));
  return rows;
}

/** Rows by setting, by rising velocity; the setting of the worst point first, then in the order of the file. */
export function rowsBySetting(result: JudgedResult): readonly SettingRows[] {
  const groups = groupRows(result.points);
  const worst = result.worst === undefined ? undefined : result.points[result.worst];
  const first = worst === undefined ? undefined : settingKey(worst.setting);
  for (const { rows } of groups) rows.sort((a, b) => a.velocity - b.velocity || a.pass - b.pass);
  return groups.sort((a, b) => Number(b.key === first) - Number(a.key === first));
}

/** Percent of tolerance with its sign, harder positive: `-134`; undefined where the point has none. */
export function signedShare(point: JudgedPoint | undefined): string | undefined {
  if (point?.share === undefined || !Number.isFinite(point.share)) return undefined;
  const figure = bare.wholeShare(point.share);
  return figure === '0' ? figure : `${point.direction === 'softer' ? '-' : '+'}${figure}`;
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
