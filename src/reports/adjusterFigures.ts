import { clickStepVelocity } from '../charts/adjusters/clickStepVelocity';
import { reachMap } from '../charts/adjusters/reachMap';
import { stepRatios } from '../charts/adjusters/stepRatios';
import { sweepPanels } from '../charts/adjusters/sweepCurves';
import type { ChartSpec } from '../charts/chartSpec';
import type { ChartTheme } from '../charts/theme';
import type { AdjusterReview, AdjustersReview, ReviewedStep } from '../review/adjusters/adjusterReview';
import { energyOfStep, heldText, sideText, stepState, yardstickText } from '../review/adjusters/adjusterWording';
import type { JudgedResult } from '../review/judgedResult';
import { decimalText, speedText, unitLabel } from '../review/wording';
import { machine } from '../text/figures';
import type { Drawing } from './pageFigures';

/** Charts and tables of adjusters with their words, as report and page show them. */

interface Look {
  readonly theme: ChartTheme;
  readonly width: number;
  /** Small panels beside each other, where settings are drawn one by one. */
  readonly columns?: number;
}

function drawing(spec: ChartSpec | undefined, title: string, caption: string): Drawing | undefined {
  return spec && { spec, title, caption };
}

/** `LSC with HSC 4, R 6` */
export function sweepName(sweep: AdjusterReview): string {
  return `${sweep.id}${heldText(sweep) === '' ? '' : ` ${heldText(sweep)}`}`;
}

export function reachDrawing(result: JudgedResult, adjusters: AdjustersReview, look: Look): Drawing | undefined {
  return drawing(
    reachMap(adjusters, { ...look, height: 220 }),
    `Reach of the adjusters of ${unitLabel(result)}`,
    'Damping that one unit opened takes off, over peak velocity; compression upwards, rebound downwards. Bars at the edges are the bands of the spec.',
  );
}

export function ratioDrawing(result: JudgedResult, sweep: AdjusterReview, look: Look): Drawing | undefined {
  return drawing(
    stepRatios(sweep, { ...look, height: 110, stateOf: stepState }),
    `Steps of ${sweep.id} of ${unitLabel(result)}`,
    `Each step of ${sweepName(sweep)} over ${yardstickText(sweep)}; shaded: limits of the spec; bars: expanded uncertainty, 95\u00a0%.`,
  );
}

export function stepVelocityDrawing(result: JudgedResult, sweep: AdjusterReview, look: Look): Drawing | undefined {
  return drawing(
    clickStepVelocity(sweep, { ...look, height: 180 }),
    `Steps of ${sweep.id} of ${unitLabel(result)} over velocity`,
    `What a ${sweep.unit} of ${sweep.id} takes off ${sideText(sweep.side)} over peak velocity. Thin: every step.`,
  );
}

export function settingsDrawing(result: JudgedResult, sweep: AdjusterReview, look: Look): Drawing | undefined {
  return drawing(
    sweepPanels(sweep, look),
    `Settings of ${sweep.id} of ${unitLabel(result)} one by one`,
    `Damping force over peak velocity at each position of ${sweepName(sweep)}; dashed: both ends of the range.`,
  );
}

export interface StepTable {
  readonly caption: string;
  readonly heads: readonly string[];
  /** The last cell is the state. */
  readonly rows: readonly (readonly string[])[];
}

export function stepTable(sweep: AdjusterReview): StepTable | undefined {
  if (sweep.steps.length === 0) return undefined;
  const energies = sweep.steps.some((step) => energyOfStep(sweep, step) !== undefined);
  const speed = sweep.details.energies?.speed;
  const at = speed === undefined ? '' : `; energy of a cycle at ${speedText(speed)}`;
  return {
    caption: `Steps of ${sweep.id} in ${sweep.unit}, percent of ${yardstickText(sweep)}${energies ? at : ''}`,
    heads: ['from', 'to', 'step [%]', 'U [%]', ...(energies ? [`energy [J/${sweep.unit}]`] : []), 'state'],
    rows: sweep.steps.map((step) => cellsOf(sweep, step, energies)),
  };
}

function cellsOf(sweep: AdjusterReview, step: ReviewedStep, energies: boolean): readonly string[] {
  const energy = energyOfStep(sweep, step);
  return [
    decimalText(step.from, 2),
    decimalText(step.to, 2),
    decimalText(step.ratio * 100, 1),
    step.U === undefined ? '' : decimalText(step.U * 100, 1),
    ...(energies ? [energy === undefined ? '' : String(machine.size(energy))] : []),
    stepState(sweep, step),
  ];
}
