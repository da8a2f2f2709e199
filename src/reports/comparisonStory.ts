import { SIDES } from '../charts/chartSpec';
import { leadingComparedSetting } from '../charts/comparisonCharts';
import { sameSetting, settingsOf } from '../charts/pointSets';
import type { ComparedPoint, ComparedRun, Comparison } from '../review/comparison';
import type { Setting } from '../files/spec';
import { forceText, percentText, settingText, speedText, unitLabel } from '../review/wording';

/** `F-002 build 1 (larch-front, 2026-02-03, bench-1)`. */
export function runLine(run: ComparedRun): string {
  const facts = [run.specId, run.date?.slice(0, 10), run.bench].filter((fact) => fact !== undefined && fact !== '');
  return `${unitLabel(run)}${facts.length === 0 ? '' : ` (${facts.join(', ')})`}`;
}

/** Names for tables and legends: the units where they differ, else the files. */
export function runNames({ a, b }: Comparison): readonly [string, string] {
  const names = [unitLabel(a), unitLabel(b)] as const;
  const told = names[0] === names[1] ? ([a.file, b.file] as const) : names;
  return [`A: ${told[0]}`, `B: ${told[1]}`];
}

/** The largest difference over its uncertainty, in words; undefined where the two have no point in common. */
export function largestDifference(comparison: Comparison): string | undefined {
  const setting = leadingComparedSetting(comparison);
  const points = comparison.points.filter((point) => setting !== undefined && sameSetting(point.setting, setting));
  const worst = points.reduce<ComparedPoint | undefined>(
    (a, b) => (a === undefined || ratio(b) > ratio(a) ? b : a),
    undefined,
  );
  if (worst === undefined) return undefined;
  const relative = worst.relative === undefined ? '' : `, ${percentText(Math.abs(worst.relative))}`;
  const where = Object.keys(worst.setting).length === 0 ? '' : `, at ${settingText(worst.setting)}`;
  const uncertainty = Number.isFinite(worst.uncertainty) ? ` (U ${forceText(worst.uncertainty)})` : '';
  return `${worst.side} at ${speedText(worst.velocity)}: B is ${forceText(Math.abs(worst.difference))}${relative} ${worst.direction ?? 'the same'}${uncertainty}${where}`;
}

function ratio(point: ComparedPoint): number {
  const value = Math.abs(point.difference) / Math.max(point.uncertainty, 1e-9);
  return Number.isFinite(value) ? value : 0;
}

/** `compression 0.4 % harder, rebound 7.2 % softer` on average. */
export function meanDifferences(comparison: Comparison): string {
  const parts = SIDES.flatMap((side) => {
    const mean = comparison.mean[side];
    if (mean === undefined) return [];
    const harder = side === 'compression' ? mean > 0 : mean < 0;
    return [`${side} ${percentText(Math.abs(mean))} ${mean === 0 ? 'changed' : harder ? 'harder' : 'softer'}`];
  });
  return parts.join(', ');
}

/** Points of each setting by rising speed, the setting with the largest difference first. */
export function pointsBySetting(
  comparison: Comparison,
): readonly { readonly setting: Setting; readonly points: readonly ComparedPoint[] }[] {
  const leading = leadingComparedSetting(comparison);
  const settings = [...settingsOf(comparison.points)];
  settings.sort(
    (a, b) =>
      Number(leading !== undefined && sameSetting(b, leading)) -
      Number(leading !== undefined && sameSetting(a, leading)),
  );
  return settings.map((setting) => ({
    setting,
    points: comparison.points
      .filter((point) => sameSetting(point.setting, setting))
      .sort((p, q) => p.side.localeCompare(q.side, 'en') || p.velocity - q.velocity || p.pass - q.pass),
  }));
}

/** Rows of only one of both, as sentences. */
export function onlyOne(comparison: Comparison): readonly string[] {
  const sentence = (name: string, rows: Comparison['onlyA']): string[] =>
    rows.length === 0
      ? []
      : [
          `Only ${name} has ${rows.length} more row${rows.length === 1 ? '' : 's'}, such as ${speedText(rows[0]!.velocity)}${Object.keys(rows[0]!.setting).length === 0 ? '' : ` at ${settingText(rows[0]!.setting)}`}.`,
        ];
  return [...sentence('A', comparison.onlyA), ...sentence('B', comparison.onlyB)];
}
