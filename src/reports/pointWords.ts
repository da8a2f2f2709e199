import type { JudgedPoint } from '../review/judgedResult';
import { percentText, settingText, speedText } from '../review/wording';
import { bare } from '../text/figures';
import { signedShare } from './driftFigures';

/** One measured point in words, with the figures of the tables. */

/** `134 % of tolerance, softer`; undefined where the point was not held against a tolerance. */
export function shareWords(point: JudgedPoint): string | undefined {
  if (point.share === undefined || !Number.isFinite(point.share)) return undefined;
  const share = `${percentText(point.share)} of tolerance`;
  return point.direction === undefined ? share : `${share}, ${point.direction}`;
}

/** `rebound at 300 mm/s, R 6: 134 % of tolerance, softer`, or why it is undecided. */
export function pointSentence(point: JudgedPoint): string {
  const where = [`${point.side} at ${speedText(point.velocity)}`];
  if (Object.keys(point.setting).length > 0) where.push(settingText(point.setting));
  const says = [
    shareWords(point),
    point.verdict === 'undecided' ? `undecided. ${point.reason ?? ''}`.trim() : undefined,
  ];
  return `${where.join(', ')}: ${says.filter((part) => part !== undefined).join(', ') || 'not judged'}`;
}

/** For a mark in a chart: `compression 300 mm/s: damping 812.0 N, drift +34.1 N, +98 % of tolerance, pass`. */
export function pointLabel(point: JudgedPoint): string {
  const share = signedShare(point);
  const parts = [
    point.damping === undefined ? `load cell ${bare.force(point.force)} N` : `damping ${bare.force(point.damping)} N`,
    ...(point.reference === undefined ? [] : [`reference ${bare.force(point.reference)} N`]),
    ...(point.drift === undefined ? [] : [`drift ${bare.signedForce(point.drift)} N`]),
    ...(share === undefined ? [] : [`${share} % of tolerance`]),
    point.verdict,
  ];
  return `${point.side} ${speedText(point.velocity)}${point.pass > 1 ? ` run ${point.pass}` : ''}: ${parts.join(', ')}`;
}

/** The facts of a point, one a line of a list: name and value. */
export function pointFacts(point: JudgedPoint): readonly (readonly [string, string])[] {
  const figure = (value: number | undefined): string | undefined =>
    value === undefined || !Number.isFinite(value) ? undefined : `${bare.force(value)} N`;
  const signed = (value: number | undefined): string | undefined =>
    value === undefined || !Number.isFinite(value) ? undefined : `${bare.signedForce(value)} N`;
  const share = shareWords(point);
  const all: readonly (readonly [string, string | undefined])[] = [
    ['load cell', figure(point.force)],
    ['damping', figure(point.damping)],
    ['reference', figure(point.reference)],
    ['drift', signed(point.drift)],
    ['tolerance', figure(point.tolerance)],
    ['uncertainty', figure(point.driftUncertainty ?? point.uncertainty)],
    ['of tolerance', share?.replace(' of tolerance', '')],
    ['cycles that would settle it', point.cyclesToSettle?.toString()],
  ];
  return all.filter((fact): fact is readonly [string, string] => fact[1] !== undefined);
}
