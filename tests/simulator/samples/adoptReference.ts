import { copyOfRow } from '../../../src/files/forceRow';
import type { ForceRow, ForceTable } from '../../../src/files/forceTable';

/**
 * Reference curves from several results of one unit: at every setting and speed the mean of all passes of all runs, each row with its
 * own constant force.
 */
export function referenceOf(
  path: string,
  results: readonly ForceTable[],
  adopted: NonNullable<ForceTable['adopted']>,
): ForceTable {
  const [first] = results;
  if (!first) throw new Error('A reference needs a result to come from.');
  const groups = new Map<string, ForceRow[]>();
  for (const table of results) {
    for (const row of table.rows) {
      const gas = row.gas ?? table.gas?.force;
      if (gas === undefined) throw new Error(`${table.file} does not know its constant force.`);
      const key = [...row.setting, row.velocity].join(' ');
      groups.set(key, [...(groups.get(key) ?? []), { ...copyOfRow(row), gas }]);
    }
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

function meanRow(rows: readonly ForceRow[]): ForceRow {
  const mean = (of: (row: ForceRow) => number): number => rows.reduce((sum, row) => sum + of(row), 0) / rows.length;
  return {
    line: 0,
    setting: rows[0]!.setting,
    pass: 1,
    velocity: rows[0]!.velocity,
    compression: mean((row) => row.compression),
    rebound: mean((row) => row.rebound),
    gas: mean((row) => row.gas!),
    temperature: mean((row) => row.temperature ?? NaN),
  };
}

function bySettingAndSpeed(a: ForceRow, b: ForceRow): number {
  for (const [index, clicks] of a.setting.entries()) {
    if (clicks !== b.setting[index]) return clicks - b.setting[index]!;
  }
  return a.velocity - b.velocity;
}
