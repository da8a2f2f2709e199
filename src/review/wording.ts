import type { Side } from '../analysis/side';
import type { Setting, Spec } from '../files/spec';

/** Numbers and names as findings say them. Independent of the machine's locale; SI in, trade units out. */

/** At most `decimals` digits after the point, trailing zeros dropped; never `-0`. */
export function decimalText(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  let end = text.length;
  if (decimals > 0 && text.includes('.')) {
    while (text[end - 1] === '0') end -= 1;
    if (text[end - 1] === '.') end -= 1;
  }
  const trimmed = end === text.length ? text : text.slice(0, end);
  return trimmed === '-0' ? '0' : trimmed;
}

/** @param speed [m/s] */
export function speedText(speed: number): string {
  return `${speedNumber(speed)} mm/s`;
}

export function speedNumber(speed: number): string {
  return decimalText(speed * 1000, Math.abs(speed) < 0.1 ? 1 : 0);
}

/** @param from, to band of speeds [m/s]; one speed where both read the same */
export function speedRangeText(from: number, to: number): string {
  const first = speedNumber(from);
  const last = speedNumber(to);
  return first === last ? `at ${first} mm/s` : `${first} to ${last} mm/s`;
}

/** @param force [N] */
export function forceText(force: number): string {
  return `${decimalText(force, Math.abs(force) < 100 ? 1 : 0)} N`;
}

/** @param length [m] */
export function lengthText(length: number): string {
  return `${decimalText(length * 1000, 1)} mm`;
}

/** @param temperature [K] */
export function temperatureText(temperature: number): string {
  return `${decimalText(temperature - 273.15, 1)} °C`;
}

/** @param share a fraction. One digit more close to 100 %, so that 100.4 % does not read as the limit itself. */
export function percentText(share: number): string {
  const percent = share * 100;
  return `${decimalText(percent, Math.abs(percent) < 10 || Math.abs(percent - 100) < 1 ? 1 : 0)} %`;
}

/** Every adjuster: `LSC 8, HSC 3, R 6`; `the only setting` where there is none. */
export function settingText(setting: Setting): string {
  const ids = Object.keys(setting);
  return ids.length === 0 ? ONLY_SETTING : positionsText(setting, ids);
}

const ONLY_SETTING = 'the only setting';

/** The adjusters that act on this side as far as the spec says so, else all: `R 6`. */
export function settingOfSideText(setting: Setting, side: Side, spec: Spec | undefined): string {
  const ids = Object.keys(setting);
  if (ids.length === 0) return ONLY_SETTING;
  const shown: string[] = [];
  if (spec !== undefined) for (const id of ids) if (actsOn(spec, id, side)) shown.push(id);
  return positionsText(setting, shown.length > 0 ? shown : ids);
}

/** The same to end a clause with: `, at R 6`; nothing where there is no adjuster. */
export function atSettingOfSide(setting: Setting, side: Side, spec: Spec | undefined): string {
  const text = settingOfSideText(setting, side, spec);
  return text === ONLY_SETTING ? '' : `, at ${text}`;
}

function actsOn({ adjusters }: Spec, wanted: string, side: Side): boolean {
  for (const { id, acts } of adjusters)
    if (id === wanted && (acts === undefined || acts.side === side || acts.side === 'both')) return true;
  return false;
}

function positionsText(setting: Setting, ids: readonly string[]): string {
  let text = '';
  for (const id of ids) text += `${text === '' ? '' : ', '}${id} ${decimalText(setting[id]!, 2)}`;
  return text;
}

/** `F-017 build 2`, or the file's name where the log does not say which unit it was. */
export function unitLabel(unit: { readonly serial: string; readonly build: string; readonly file: string }): string {
  if (unit.serial === '') return unit.file.slice(unit.file.lastIndexOf('/') + 1);
  return unit.build === '' ? unit.serial : `${unit.serial} build ${unit.build}`;
}

/** `1 point`, `3 points`. */
export function countText(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listText(items: readonly string[]): string {
  if (items.length <= 1) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} and ${items.at(-1)!}`;
}

/** For evidence: enough digits to work with, none that only float arithmetic made. */
export function evidenceNumber(value: number, significant = 6): number {
  return value === 0 || !Number.isFinite(value) ? value : Number(value.toPrecision(significant));
}
