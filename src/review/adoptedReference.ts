import type { Side } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import { constantForceOf, curvesOf, settingKey, settingOfRow, speedOfRow } from './referenceCurves';
import { countText, listText } from './wording';

/** Why results cannot become reference curves together, one sentence each; empty where they can. */
export function adoptionObstacles(results: readonly ForceTable[]): readonly string[] {
  const [first, ...others] = results;
  if (first === undefined) return ['No result is named.'];
  const obstacles: string[] = [];
  for (const table of results) {
    if (table.rows.length === 0) obstacles.push(`${table.file} holds no rows.`);
    if (table.rows.some((row) => constantForceOf(table, row) === undefined))
      obstacles.push(`${table.file} does not know its constant force, so its damping force is not known either.`);
    if (table.rows.some((row) => row.setting.some(Number.isNaN)))
      obstacles.push(`${table.file} has rows whose setting is not known.`);
  }
  for (const table of others) {
    if (table.spec !== first.spec)
      obstacles.push(`${table.file} is of spec ${table.spec}, ${first.file} of ${first.spec}.`);
    const differing = BASIS_KEYS.filter((key) => table.basis[key] !== first.basis[key]);
    if (differing.length > 0)
      obstacles.push(
        `${table.file} was not run as ${first.file}: ${listText(differing)} ${differing.length === 1 ? 'differs' : 'differ'}.`,
      );
    if (adjusterKey(table) !== adjusterKey(first))
      obstacles.push(`${table.file} has other adjuster columns than ${first.file}.`);
  }
  return obstacles;
}

const BASIS_KEYS = ['drive', 'stroke', 'midPosition', 'forceZero', 'temperatureAt'] as const;

function adjusterKey({ adjusters }: ForceTable): string {
  return JSON.stringify(adjusters.map(({ id, unit }) => [id, unit]));
}

/**
 * Reference curves from one result, or the mean of several: at every setting and speed the mean damping force of all rows and passes, on the
 * mean constant force. A force that was measured beside its planned speed is first moved there along the slope of its own curve, so that a
 * result held against what was adopted from it shows no drift.
 *
 * @param results without obstacles. @param path of the reference
 */
export function adoptedReference(
  path: string,
  results: readonly ForceTable[],
  adopted: NonNullable<ForceTable['adopted']>,
): ForceTable {
  const first = results[0]!;
  const groups = new Map<string, ForceRow[]>();
  for (const table of results)
    for (const row of table.rows) {
      const key = `${settingKey(settingOfRow(table, row))}\n${row.velocity.toFixed(9)}`;
      groups.set(key, [...(groups.get(key) ?? []), atPlannedSpeed(table, row)]);
    }
  return {
    file: path,
    kind: 'reference',
    formatVersion: 1,
    spec: first.spec,
    headerLine: 1,
    adjusters: first.adjusters,
    rows: [...groups.values()].map(meanRow).sort(bySettingAndSpeed),
    basis: first.basis,
    adopted,
  };
}

/** How many rows of the reference not every result has a part in, in words; undefined where all have. */
export function unevenRows(results: readonly ForceTable[]): string | undefined {
  const counts = new Map<string, Set<string>>();
  for (const table of results)
    for (const row of table.rows) {
      const key = `${settingKey(settingOfRow(table, row))}\n${row.velocity.toFixed(9)}`;
      counts.set(key, (counts.get(key) ?? new Set()).add(table.file));
    }
  const few = [...counts.values()].filter((files) => files.size < results.length).length;
  return few === 0
    ? undefined
    : `${countText(few, 'row')} of ${counts.size} ${few === 1 ? 'is' : 'are'} not in every result; the mean is of those that have it.`;
}

function atPlannedSpeed(table: ForceTable, row: ForceRow): ForceRow {
  const gas = constantForceOf(table, row)!;
  const curves = curvesOf(table).at(settingOfRow(table, row));
  const moved = (side: Side): number => {
    const there = curves.force(side, row.velocity);
    const here = curves.force(side, speedOfRow(row, side));
    return there.kind !== 'known' || here.kind !== 'known'
      ? row[side]
      : row[side] + there.force.damping - here.force.damping;
  };
  const { setting, pass, velocity, temperature } = row;
  return {
    line: 0,
    setting,
    pass,
    velocity,
    gas,
    compression: moved('compression'),
    rebound: moved('rebound'),
    ...(temperature !== undefined && { temperature }),
  };
}

function meanRow(rows: readonly ForceRow[]): ForceRow {
  const first = rows[0]!;
  const temperature = mean(rows, (row) => row.temperature ?? NaN);
  return {
    line: 0,
    setting: first.setting,
    pass: 1,
    velocity: first.velocity,
    compression: mean(rows, (row) => row.compression),
    rebound: mean(rows, (row) => row.rebound),
    gas: mean(rows, (row) => row.gas!),
    ...(Number.isFinite(temperature) && { temperature }),
  };
}

/** Over the rows that have the value; NaN where none has. */
function mean(rows: readonly ForceRow[], of: (row: ForceRow) => number): number {
  const known = rows.map(of).filter((value) => !Number.isNaN(value));
  return known.reduce((sum, value) => sum + value, 0) / known.length;
}

function bySettingAndSpeed(a: ForceRow, b: ForceRow): number {
  for (const [i, position] of a.setting.entries()) {
    const other = b.setting[i] ?? NaN;
    if (position !== other) return position - other;
  }
  return a.velocity - b.velocity;
}
