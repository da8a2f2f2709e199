import type { ForceRow } from '../files/forceTable';
import type { Setting } from '../files/spec';
import type { JudgeInput } from './judgeInput';
import { matchPlanned } from './plannedVelocity';
import { settingOfRow } from './referenceCurves';
import type { MissingPoint } from './rules/ruleContext';

/** A step this share short of a planned speed was meant for it. */
const MEANT_FOR = 0.8;

/** Planned speeds that a setting of the table lacks, or has with one side empty. Every measured setting is to run the whole plan. */
export function missingPoints(input: JudgeInput): readonly MissingPoint[] {
  const planned = input.spec?.test.velocities ?? [];
  if (planned.length === 0) return [];
  const groups = rowsBySetting(input);
  if (groups.length === 0) return planned.map((velocity) => ({ setting: {}, velocity }));
  return groups.flatMap(({ setting, rows }) => {
    const speeds = rows.map((row) => row.velocity);
    const matched = matchPlanned(speeds, planned);
    const present = new Set(matched);
    return planned.flatMap((velocity) => {
      if (present.has(velocity)) return [];
      const short = speeds.filter((v, i) => matched[i] === undefined && v >= MEANT_FOR * velocity && v < velocity);
      return [{ setting, velocity, ...(short.length > 0 && { fellShortAt: Math.max(...short) }) }];
    });
  });
}

function rowsBySetting(
  input: JudgeInput,
): readonly { readonly setting: Setting; readonly rows: readonly ForceRow[] }[] {
  const groups = new Map<string, { setting: Setting; rows: ForceRow[] }>();
  for (const row of input.table.rows) {
    const vector = row.setting.join(' ');
    const group = groups.get(vector) ?? { setting: settingOfRow(input.table, row), rows: [] };
    groups.set(vector, group);
    if (!Number.isNaN(row.compression) && !Number.isNaN(row.rebound)) group.rows.push(row);
  }
  return [...groups.values()];
}
