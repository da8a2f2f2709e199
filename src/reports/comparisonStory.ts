import { SIDE_SIGN, SIDES } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { ComparedPoint, ComparedRun, Comparison } from '../review/comparison';
import { settingKey } from '../review/referenceCurves';
import { countText, listText, percentText, settingText, speedText } from '../review/wording';
import { bare, machine } from '../text/figures';

/** Sentences and selections that every report of a comparison tells alike; they may hold text from files. */

export interface RunText {
  /** `A` or `B`, by which tables and charts call it. */
  readonly letter: 'A' | 'B';
  readonly label: string;
  /** What is known of it besides, in one line. */
  readonly about: string;
}

export function runTexts(comparison: Comparison): readonly [RunText, RunText] {
  return [runText('A', comparison.a), runText('B', comparison.b)];
}

function runText(letter: 'A' | 'B', run: ComparedRun): RunText {
  const unit = run.serial === '' ? undefined : `${run.serial}${run.build === '' ? '' : ` build ${run.build}`}`;
  const date = run.date === undefined ? undefined : `tested ${run.date.slice(0, 10)}`;
  const parts = [unit, run.specId, date, run.bench, run.file].filter(
    (part) => part !== undefined && part !== '' && part !== run.label,
  );
  return { letter, label: run.label, about: [...new Set(parts)].join(', ') };
}

/** `compression 0.2 % harder, rebound 2.1 % softer`: means over the points of each side; undefined where there is none. */
export function meanSentence(comparison: Comparison): string | undefined {
  const parts = SIDES.flatMap((side) => {
    const mean = comparison.mean[side];
    if (mean === undefined || !Number.isFinite(mean)) return [];
    const hardening = SIDE_SIGN[side] * mean;
    const shown = percentText(Math.abs(machine.percent(mean) / 100));
    const way = machine.percent(mean) === 0 ? 'unchanged' : `${shown} ${hardening > 0 ? 'harder' : 'softer'}`;
    return [`${side} ${way}`];
  });
  return parts.length === 0 ? undefined : parts.join(', ');
}

/** Rows that only one of both has, in a sentence each. */
export function unmatchedSentences(comparison: Comparison): readonly string[] {
  return [unmatched('A', comparison.onlyA), unmatched('B', comparison.onlyB)].filter((text) => text !== undefined);
}

/** So many rows are named one by one; beyond that their number has to do. */
const NAMED = 6;

function unmatched(letter: string, rows: Comparison['onlyA']): string | undefined {
  if (rows.length === 0) return undefined;
  const names = rows.map(({ setting, velocity }) =>
    Object.keys(setting).length === 0 ? speedText(velocity) : `${speedText(velocity)} at ${settingText(setting)}`,
  );
  const which = rows.length > NAMED ? '' : `: ${listText(names)}`;
  return `Only ${letter} has ${countText(rows.length, 'more row')}${which}.`;
}

export interface ComparedRow {
  readonly velocity: number;
  readonly pass: number;
  readonly compression?: ComparedPoint;
  readonly rebound?: ComparedPoint;
}
export interface ComparedSetting {
  readonly setting: Setting;
  readonly rows: readonly ComparedRow[];
}

/** Rows by setting, the setting with the clearest difference first. */
export function comparedSettings(comparison: Comparison): readonly ComparedSetting[] {
  const groups = new Map<string, { setting: Setting; clearest: number; rows: Map<string, ComparedRow> }>();
  for (const point of comparison.points) {
    const key = settingKey(point.setting);
    const group = groups.get(key) ?? { setting: point.setting, clearest: 0, rows: new Map<string, ComparedRow>() };
    const rowKey = `${point.velocity} ${point.pass}`;
    const row = group.rows.get(rowKey) ?? { velocity: point.velocity, pass: point.pass };
    group.rows.set(rowKey, { ...row, [point.side]: point });
    groups.set(key, { ...group, clearest: Math.max(group.clearest, clearness(point)) });
  }
  return [...groups.values()]
    .sort((a, b) => b.clearest - a.clearest)
    .map(({ setting, rows }) => ({
      setting,
      rows: [...rows.values()].sort((a, b) => a.velocity - b.velocity || a.pass - b.pass),
    }));
}

function clearness(point: ComparedPoint): number {
  const ratio = Math.abs(point.difference) / point.uncertainty;
  return Number.isFinite(ratio) ? ratio : 0;
}

/** The figures of a point as tables show them [N, %]; the mark says that the difference is more than cycle scatter. */
export function comparedCells(point: ComparedPoint | undefined): readonly string[] {
  if (point === undefined) return ['', '', '', ''];
  return [
    bare.force(point.a),
    bare.force(point.b),
    `${bare.signedForce(point.difference)}${point.beyondScatter ? ' *' : ''}`,
    point.relative === undefined
      ? ''
      : bare.signedPercent(point.direction === 'softer' ? -Math.abs(point.relative) : Math.abs(point.relative)),
  ];
}

export const COMPARED_HEADS: readonly string[] = ['A', 'B', 'B - A', '% harder'];
export const SCATTER_NOTE = 'Damping force in N, compression positive; * more than the scatter between cycles.';

export function settingName(setting: Setting): string {
  return Object.keys(setting).length === 0 ? 'The only setting' : settingText(setting);
}
