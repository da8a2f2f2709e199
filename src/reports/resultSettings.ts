import type { Setting } from '../files/spec';
import type { JudgedResult } from '../review/judgedResult';

/** Names the values of a setting vector by the adjusters of the result's table. */
export function settingOfVector(result: JudgedResult, vector: readonly number[]): Setting {
  return Object.fromEntries(
    vector.map((position, i) => [result.table.adjusters[i]?.id ?? `adjuster ${i + 1}`, position]),
  );
}

/** What the analysis measured at one setting and speed. */
interface MeasuredStep {
  readonly setting: readonly number[];
  readonly pass: number;
  readonly speed: number;
}

/** Planned speed of a step [m/s]: that of the table's row at its setting whose own speed is nearest within 3 % or 5 mm/s, else the achieved one. */
export function plannedSpeedOf(result: JudgedResult, step: MeasuredStep): number {
  let best: { readonly velocity: number; readonly off: number } | undefined;
  for (const row of result.table.rows) {
    if (row.setting.some((position, i) => position !== step.setting[i])) continue;
    const off = Math.abs(row.velocity - step.speed);
    if (off <= Math.max(0.005, 0.03 * step.speed) && (best === undefined || off < best.off))
      best = { velocity: row.velocity, off };
  }
  return best?.velocity ?? step.speed;
}

/** Units of the adjusters by id, for setting texts. */
export function adjusterUnits(result: Pick<JudgedResult, 'table'>): Readonly<Record<string, string>> {
  return Object.fromEntries(result.table.adjusters.map(({ id, unit }) => [id, unit]));
}

/** Adjusters that act on a side as far as the spec says so; undefined where it says nothing. */
export function adjustersActingOn(
  result: JudgedResult,
  side: 'compression' | 'rebound',
): readonly string[] | undefined {
  const acting = result.spec?.adjusters.filter(
    ({ acts }) => acts === undefined || acts.side === side || acts.side === 'both',
  );
  return acting?.map(({ id }) => id);
}
