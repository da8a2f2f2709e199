import type { SideShape } from '../analysis/shape/sideShape';
import { SIDES } from '../analysis/side';
import type { ResultShape } from './resultShape';
import { decimalText, speedNumber, speedText } from './wording';

/** `digressive, knee at 180 ± 12 mm/s`, `digressive, knee below the first step`, `linear`. */
export function shapeText(shape: SideShape): string {
  if (shape.kind === 'undecided') return `undecided${shape.reason === undefined ? '' : ` (${shape.reason})`}`;
  if (shape.kneeBelowFirstStep) return `${shape.kind}, knee below the first step`;
  return shape.knee === undefined ? shape.kind : `${shape.kind}, knee at ${kneeText(shape)}`;
}

/** `180 ± 12 mm/s`; without the second number where the knee's uncertainty is not known. */
export function kneeText({ knee }: SideShape): string {
  if (knee === undefined) return '';
  return Number.isFinite(knee.U) ? `${speedNumber(knee.value)} ± ${speedNumber(knee.U)} mm/s` : speedText(knee.value);
}

/** `compression digressive, knee at 112 ± 9 mm/s; rebound linear; rebound 1.6 to 2.1 times compression`. */
export function shapeSentence(shape: ResultShape | undefined): string | undefined {
  if (shape === undefined) return undefined;
  const sides = SIDES.flatMap((side) => (shape[side] === undefined ? [] : [`${side} ${shapeText(shape[side])}`]));
  if (sides.length === 0) return undefined;
  const ratios = shape.ratios.map(({ ratio }) => ratio);
  const [least, most] = [Math.min(...ratios), Math.max(...ratios)].map((ratio) => decimalText(ratio, 2));
  const range = least === most ? least : `${least} to ${most}`;
  return [...sides, ...(ratios.length > 0 ? [`rebound ${range} times compression`] : [])].join('; ');
}
