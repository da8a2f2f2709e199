import type { Side } from '../../../src/analysis/side';
import type { Finding } from '../../../src/review/finding';
import type { MadeSetting, SweepOptions } from './sweepScenario';
import { click, closedSweep, hard, judgeSweep } from './sweepScenario';

/** A rebound adjuster of ten clicks, 4 % each, with one thing wrong. For the cases of rules.test.ts. */
interface Fault {
  /** The click from 5 to 6, over the others. */
  readonly step?: number;
  readonly deadFrom?: number;
  /** Effect on compression over that on rebound. */
  readonly crossTalk?: number;
  /** Share of force lost when the first setting is run again. */
  readonly heat?: number;
}

export function aSweepWith({ step = 1, deadFrom = 10, crossTalk = 0, heat = 0 }: Fault): SweepOptions {
  const damping = (side: Side, v: number, { at, pass }: MadeSetting): number => {
    const clicks = Math.min(at[0]!, deadFrom);
    const opened = clicks + (clicks > 5 ? step - 1 : 0);
    const rebound = hard('rebound', v) * Math.exp(-0.04 * opened);
    const kept = pass === 2 ? 1 - heat : 1;
    return kept * (side === 'rebound' ? rebound : hard('compression', v) - crossTalk * (hard('rebound', v) - rebound));
  };
  const adjusters = [click('R', 10, { side: 'rebound', crossLimit: 0.1 })];
  return { adjusters, settings: closedSweep(10), damping };
}

export function sweptFindings(options: SweepOptions): readonly Finding[] {
  return judgeSweep(options, { least: 0.5, most: 1.5, law: 'equal-ratio' }).findings;
}

export function anUnevenSweep(step: number): readonly Finding[] {
  return sweptFindings(aSweepWith({ step }));
}
