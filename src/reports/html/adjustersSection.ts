import { propertyTheme } from '../../charts/theme';
import type { AdjusterReview } from '../../review/adjusters/adjusterReview';
import type { JudgedResult } from '../../review/judgedResult';
import {
  ratioDrawing,
  reachDrawing,
  settingsDrawing,
  stepTable,
  stepVelocityDrawing,
  sweepName,
} from '../adjusterFigures';
import { adjusterSentences } from '../adjustersStory';
import { drawn } from './figures';
import { markup, type SafeHtml } from './safeHtml';

/** Width in pixels; printed on A4 it comes to the width of the sheet. */
const LOOK = { theme: propertyTheme(), width: 560 };
/** Sweeps that are drawn; a grid of settings holds hundreds. */
const MOST_DRAWN = 6;
/** Found steps that a table marks. */
const FOUND: ReadonlySet<string> = new Set(['uneven', 'wrong way', 'dead']);

/** Adjusters of a result: a sentence a sweep, what a unit does over velocity, the steps of each; settings one by one, folded away. */
export async function adjustersSection(result: JudgedResult, id: string): Promise<SafeHtml | undefined> {
  const { adjusters } = result;
  if (adjusters === undefined) return undefined;
  const reach = await drawn(reachDrawing(result, adjusters, LOOK), `${id}-reach`);
  const parts: SafeHtml[] = [];
  for (const [i, sweep] of adjusters.sweeps.slice(0, MOST_DRAWN).entries())
    parts.push(await sweepPart(result, sweep, `${id}-sweep-${i + 1}`));
  const left = adjusters.sweeps.length - parts.length;
  return markup`<h3>Adjusters</h3>
    <ul class="steps">
      ${adjusterSentences(result).map((sentence) => markup`<li>${sentence}</li>`)}
    </ul>
    ${reach}${parts}${left > 0 && markup`<p class="quiet">${left} more sweeps stand in the JSON document.</p>`}`;
}

async function sweepPart(result: JudgedResult, sweep: AdjusterReview, id: string): Promise<SafeHtml> {
  const ratios = await drawn(ratioDrawing(result, sweep, LOOK), `${id}-ratio`);
  const velocity = await drawn(stepVelocityDrawing(result, sweep, LOOK), `${id}-velocity`);
  const settings = await drawn(settingsDrawing(result, sweep, LOOK), `${id}-settings`);
  return markup`<h4>${sweepName(sweep)}</h4>
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
  const table = stepTable(sweep);
  if (table === undefined) return undefined;
  const last = table.heads.length - 1;
  return markup`<div class="scroll">
    <table class="points">
      <caption>
        ${table.caption}
      </caption>
      <thead>
        <tr>
          ${table.heads.map((head) => markup`<th scope="col">${head}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${table.rows.map(
          (cells) =>
            markup`<tr>
              ${cells.map((cell, i) => (i === last ? markup`<td class="${FOUND.has(cell) ? 'out' : ''}">${cell}</td>` : markup`<td>${cell}</td>`))}
            </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}
