import { positionText } from '../adjusters/adjusterWording';
import type { Finding } from '../finding';
import { evidenceNumber, percentText } from '../wording';
import { placeOfPosition } from './adjusterPlace';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** A sweep whose first setting gives another force when it is run again; its steps are not judged. */
export function sweepNotClosed(context: RuleContext): readonly Finding[] {
  return context.adjusters.sweeps.flatMap((sweep) => {
    const { closure } = sweep;
    if (closure === undefined || closure.closed) return [];
    const { side, share, U, position } = closure;
    const now = share > 0 ? 'harder' : 'softer';
    return raise(context.overrides, 'sweep-not-closed', {
      at: placeOfPosition(context, sweep, position, 'last'),
      message: `${context.unit}: the sweep of ${sweep.id} does not close: at ${positionText(position, sweep.unit)} run again ${side} is ${percentText(Math.abs(share))} ${now} (U ${percentText(U)}). Its steps are not judged.`,
      side,
      evidence: {
        adjuster: sweep.id,
        position,
        difference_percent: evidenceNumber(share * 100),
        uncertainty_percent: evidenceNumber(U * 100),
      },
    });
  });
}
