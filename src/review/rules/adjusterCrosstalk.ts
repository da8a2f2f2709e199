import { sideText } from '../adjusters/adjusterWording';
import type { Finding } from '../finding';
import { evidenceNumber, percentText } from '../wording';
import { placeOfPosition } from './adjusterPlace';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Effect on the other side beyond `acts.crossLimit`, its uncertainty and what noise shows; not told of a sweep that does not close. */
export function adjusterCrosstalk(context: RuleContext): readonly Finding[] {
  return context.adjusters.sweeps.flatMap((sweep) => {
    const { side, crossLimit } = sweep;
    if (crossLimit === undefined || sweep.closure?.closed === false) return [];
    const { crossTalk } = sweep.details;
    if (crossTalk?.over !== true) return [];
    const across = side === 'compression' ? 'rebound' : 'compression';
    return raise(context.overrides, 'adjuster-crosstalk', {
      at: placeOfPosition(context, sweep, sweep.positions[0]!),
      message: `${context.unit}: ${sweep.id} moves ${across} by ${percentText(crossTalk.share)} of what it moves ${sideText(side)} (limit ${percentText(crossLimit)}).`,
      side: across,
      evidence: {
        adjuster: sweep.id,
        crossTalk_percent: evidenceNumber(crossTalk.share * 100),
        limit_percent: evidenceNumber(crossLimit * 100),
        ...(crossTalk.U !== undefined && { uncertainty_percent: evidenceNumber(crossTalk.U * 100) }),
      },
    });
  });
}
