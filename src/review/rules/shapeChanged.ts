import { excludesKind, shapesDiffer } from '../../analysis/shape/shapeChange';
import type { ShapeKind, SideShape } from '../../analysis/shape/sideShape';
import type { Side } from '../../analysis/side';
import { SIDES } from '../../analysis/side';
import type { Finding } from '../finding';
import { atHeader } from '../pointOfRow';
import type { SettingShape } from '../settingShape';
import { shapeText } from '../shapeWording';
import { staysDigressive } from '../staysDigressive';
import { evidenceNumber, settingText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** The curve of a side is of another kind than spec or reference, beyond the uncertainties of both. */
export function shapeChanged(context: RuleContext): readonly Finding[] {
  const { shape } = context;
  if (shape === undefined) return [];
  return SIDES.flatMap((side) => {
    const built = context.input.spec?.hardware.valving?.[side] as ShapeKind | undefined;
    if ((built ?? 'digressive') === 'digressive' && isSurelyDigressive(context, shape, side)) return [];
    const own = shape[side];
    if (own === undefined) return [];
    const reference = shape.reference[side];
    const fromReference = reference !== undefined && shapesDiffer(own, reference);
    const fromSpec = built !== undefined && excludesKind(own, built);
    if (!fromReference && !fromSpec) return [];
    const others = [
      ...(fromReference ? [`the reference is ${shapeText(reference)}`] : []),
      ...(fromSpec ? [`the spec says ${built}`] : []),
    ];
    const setting = Object.keys(shape.setting).length > 0 ? ` at ${settingText(shape.setting)}` : '';
    return raise(context.overrides, 'shape-changed', {
      at: atHeader(context.input),
      message: `${context.unit}: ${side} is ${shapeText(own)}${setting}; ${others.join(', and ')}.`,
      side,
      evidence: evidenceOf(side, own, fromReference ? reference : undefined, fromSpec ? built : undefined),
    });
  });
}

/** Nearly every curve lies near that of its reference, so that it need not be looked at by itself. */
function isSurelyDigressive({ input }: RuleContext, shape: SettingShape, side: Side): boolean {
  return staysDigressive(input, shape.setting, side) || shape.isSurelyDigressive(side);
}

function evidenceOf(
  side: Side,
  own: SideShape,
  reference: SideShape | undefined,
  built: string | undefined,
): Finding['evidence'] {
  return {
    side,
    kind: own.kind,
    ...numbers(own, ''),
    ...(reference !== undefined && { reference_kind: reference.kind, ...numbers(reference, 'reference_') }),
    ...(built !== undefined && { spec_kind: built }),
  };
}

function numbers({ knee, slopeRatio, startShare }: SideShape, prefix: string): Record<string, number> {
  const values: Record<string, number | undefined> = {
    knee_mm_s: knee && 1000 * knee.value,
    knee_U_mm_s: knee && 1000 * knee.U,
    slope_ratio: slopeRatio?.value,
    slope_ratio_U: slopeRatio?.U,
    start_percent: startShare && 100 * startShare.value,
    start_U_percent: startShare && 100 * startShare.U,
  };
  return Object.fromEntries(
    Object.entries(values).flatMap(([name, value]) =>
      value !== undefined && Number.isFinite(value) ? [[`${prefix}${name}`, evidenceNumber(value, 4)]] : [],
    ),
  );
}
