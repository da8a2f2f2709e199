import { clickStepVelocity } from '../../charts/adjusters/clickStepVelocity';
import { reachMap } from '../../charts/adjusters/reachMap';
import { stepRatios } from '../../charts/adjusters/stepRatios';
import { sweepPanels } from '../../charts/adjusters/sweepCurves';
import { propertyTheme } from '../../charts/theme';
import type { AdjusterReview, ReviewedStep } from '../../review/adjusters/adjusterReview';
import { heldText, sideText, stepState, yardstickText } from '../../review/adjusters/adjusterWording';
import type { JudgedResult } from '../../review/judgedResult';
import { decimalText, speedText, unitLabel } from '../../review/wording';
import { machine } from '../../text/figures';
import { adjusterSentences } from '../adjustersStory';
import { figure } from './figures';
import { markup, type SafeHtml } from './safeHtml';

const theme = propertyTheme();
/** Pixels; printed on A4 they come to the width of the sheet. */
const WIDTH = 560;
/** Sweeps that are drawn; a grid of settings holds hundreds. */
const MOST_DRAWN = 6;
/** Found steps that a table marks. */
const FOUND: ReadonlySet<string> = new Set(['uneven', 'wrong way', 'dead']);

/** Adjusters of a result: a sentence a sweep, what a unit does over velocity, the steps of each; settings one by one, folded away. */
export async function adjustersSection(result: JudgedResult, id: string): Promise<SafeHtml | undefined> {
  const { adjusters } = result;
  if (adjusters === undefined) return undefined;
  const reach = await figure(
    reachMap(adjusters, { theme, width: WIDTH, height: 220 }),
    `${id}-reach`,
    `Reach of the adjusters of ${unitLabel(result)}`,
    'Damping that one unit opened takes off, over peak velocity; compression upwards, rebound downwards. Bars at the edges are the bands of the spec.',
  );
  const drawn: SafeHtml[] = [];
  for (const [i, sweep] of adjusters.sweeps.slice(0, MOST_DRAWN).entries())
    drawn.push(await sweepPart(result, sweep, `${id}-sweep-${i + 1}`));
  const left = adjusters.sweeps.length - drawn.length;
  return markup`<h3>Adjusters</h3>
    <ul class="steps">
      ${adjusterSentences(result).map((sentence) => markup`<li>${sentence}</li>`)}
    </ul>
    ${reach}${drawn}${left > 0 && markup`<p class="quiet">${left} more sweeps stand in the JSON document.</p>`}`;
}

async function sweepPart(result: JudgedResult, sweep: AdjusterReview, id: string): Promise<SafeHtml> {
  const name = `${sweep.id}${heldText(sweep) === '' ? '' : ` ${heldText(sweep)}`}`;
  const of = `${sweep.id} of ${unitLabel(result)}`;
  const ratios = await figure(
    stepRatios(sweep, { theme, width: WIDTH, height: 110, stateOf: stepState }),
    `${id}-ratio`,
    `Steps of ${of}`,
    `Each step of ${name} over ${yardstickText(sweep)}; shaded: limits of the spec; bars: expanded uncertainty, 95\u00a0%.`,
  );
  const velocity = await figure(
    clickStepVelocity(sweep, { theme, width: WIDTH, height: 180 }),
    `${id}-velocity`,
    `Steps of ${of} over velocity`,
    `What a ${sweep.unit} of ${sweep.id} takes off ${sideText(sweep.side)} over peak velocity. Thin: every step.`,
  );
  const settings = await figure(
    sweepPanels(sweep, { theme, width: WIDTH }),
    `${id}-settings`,
    `Settings of ${of} one by one`,
    `Damping force over peak velocity at each position of ${name}; dashed: both ends of the range.`,
  );
  return markup`<h4>${name}</h4>
    ${ratios}
    <details>
      <summary>Steps of ${sweep.id} over velocity, and in figures</summary>
      ${velocity}${stepsTable(sweep)}
    </details>
    <details>
      <summary>Settings of ${sweep.id} one by one</summary>
      ${settings}
    </details>`;
}

function stepsTable(sweep: AdjusterReview): SafeHtml | undefined {
  if (sweep.steps.length === 0) return undefined;
  const energies = sweep.steps.some(({ energyPerUnit }) => energyPerUnit !== undefined);
  const at = sweep.energySpeed === undefined ? '' : `; energy of a cycle at ${speedText(sweep.energySpeed)}`;
  return markup`<div class="scroll">
    <table class="points">
      <caption>
        Steps of ${sweep.id} in ${sweep.unit}, percent of ${yardstickText(sweep)}${energies && at}
      </caption>
      <thead>
        <tr>
          <th scope="col">from</th>
          <th scope="col">to</th>
          <th scope="col">step [%]</th>
          <th scope="col">U [%]</th>
          ${energies && markup`<th scope="col">energy [J/${sweep.unit}]</th>`}
          <th scope="col">state</th>
        </tr>
      </thead>
      <tbody>
        ${sweep.steps.map((step) => stepRow(sweep, step, energies))}
      </tbody>
    </table>
  </div>`;
}

function stepRow(sweep: AdjusterReview, step: ReviewedStep, energies: boolean): SafeHtml {
  const state = stepState(sweep, step);
  return markup`<tr>
    <td>${decimalText(step.from, 2)}</td>
    <td>${decimalText(step.to, 2)}</td>
    <td>${decimalText(step.ratio * 100, 1)}</td>
    <td>${step.U === undefined ? '' : decimalText(step.U * 100, 1)}</td>
    ${energies && markup`<td>${step.energyPerUnit === undefined ? '' : String(machine.size(step.energyPerUnit))}</td>`}
    <td class="${FOUND.has(state) ? 'out' : ''}">${state}</td>
  </tr>`;
}
