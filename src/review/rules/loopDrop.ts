import type { Finding } from '../finding';
import { positionOfStep } from '../judgeInput';
import { decimalText, evidenceNumber, lengthText, percentText } from '../wording';
import { ruleLimit } from './catalogue';
import type { RuleContext } from './ruleContext';
import { heldDownByInertia, raise, relatedSteps, stepText, worstFirst } from './ruleContext';

/** Force that falls short at one place of the stroke; one finding a side. */
export function loopDrop(context: RuleContext): readonly Finding[] {
  const limit = ruleLimit('loop-drop', context.overrides);
  const drops = (context.input.analysis?.drops ?? []).filter((d) => d.share > limit);
  return worstFirst(drops, (d) => d.share).flatMap((group) => {
    const [worst, ...rest] = group;
    const at = positionOfStep(context.input, worst.key);
    return raise(context.overrides, 'loop-drop', {
      at,
      message:
        `${context.unit}: ${worst.side} force falls short by ${percentText(worst.share)} over ${lengthText(worst.width)} around ` +
        `${placeText(context, worst.displacement)}, best seen at ${stepText(context, worst.key, worst.side)}.`,
      side: worst.side,
      evidence: {
        shortfall_percent: evidenceNumber(worst.share * 100),
        limit_percent: evidenceNumber(limit * 100),
        position_mm: evidenceNumber(worst.displacement * 1000),
        width_mm: evidenceNumber(worst.width * 1000),
        ...(context.input.table.basis.midPosition !== undefined && {
          fromFullExtension_mm: evidenceNumber((context.input.table.basis.midPosition + worst.displacement) * 1000),
        }),
        settings: group.length,
      },
      related: relatedSteps(
        context,
        at.file,
        rest,
        (d) => `${percentText(d.share)} short at ${stepText(context, d.key, d.side)}`,
      ),
      ...heldDownByInertia(context, worst.key, worst.side),
    });
  });
}

/** Position from mid-stroke; from full extension too where the test says where mid-stroke was. */
function placeText(context: RuleContext, displacement: number): string {
  const direction = displacement >= 0 ? 'in' : 'out';
  const fromMiddle = `${lengthText(Math.abs(displacement))} ${direction} from mid-stroke`;
  const middle = context.input.table.basis.midPosition;
  return middle === undefined
    ? fromMiddle
    : `${fromMiddle} (${decimalText((middle + displacement) * 1000, 1)} mm from full extension)`;
}
