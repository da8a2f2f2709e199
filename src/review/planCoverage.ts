import type { ForceRow } from '../files/forceTable';
import type { Setting } from '../files/spec';
import type { JudgeInput } from './judgeInput';
import { matchPlanned } from './plannedVelocity';
import { settingsOfTable } from './referenceCurves';
import type { MissingPoint } from './rules/ruleContext';

/** A step this share short of a planned speed was meant for it. */
const MEANT_FOR = 0.8;

/** Planned speeds that a setting of the table lacks, or has with one side empty. Every measured setting is to run the whole plan. */
export function missingPoints(input: JudgeInput): readonly MissingPoint[] {
  const planned = input.spec?.test.velocities ?? [];
  if (planned.length === 0) return [];
  const groups = settingsOfTable(input.table).all;
  if (groups.length === 0) return planned.map((velocity) => ({ setting: {}, velocity }));
  if (groups.every(({ rows }) => isComplete(rows, planned))) return NOTHING;
  return groups.flatMap(({ setting, rows }) => missingAtSetting(setting, speedsOf(rows), planned));
}

const NOTHING: readonly MissingPoint[] = [];

/** The cheap look: a plan that was run through leaves one row a planned speed, in its order, with both sides. */
function isComplete(rows: readonly ForceRow[], planned: readonly number[]): boolean {
  if (rows.length !== planned.length) return false;
  for (let i = 0; i < planned.length; i++) {
    const { velocity, compression, rebound } = rows[i]!;
    if (velocity !== planned[i] || Number.isNaN(compression) || Number.isNaN(rebound)) return false;
  }
  return true;
}

/** Speeds that were measured on both sides. */
function speedsOf(rows: readonly ForceRow[]): readonly number[] {
  const speeds: number[] = [];
  for (const row of rows) if (!Number.isNaN(row.compression) && !Number.isNaN(row.rebound)) speeds.push(row.velocity);
  return speeds;
}

function missingAtSetting(
  setting: Setting,
  speeds: readonly number[],
  planned: readonly number[],
): readonly MissingPoint[] {
  if (planned.every((velocity) => speeds.includes(velocity))) return [];
  const matched = matchPlanned(speeds, planned);
  const present = new Set(matched);
  return planned.flatMap((velocity) => {
    if (present.has(velocity)) return [];
    const short = speeds.filter((v, i) => matched[i] === undefined && v >= MEANT_FOR * velocity && v < velocity);
    return [{ setting, velocity, ...(short.length > 0 && { fellShortAt: Math.max(...short) }) }];
  });
}
