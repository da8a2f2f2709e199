import { leftOverDrift } from '../../charts/leftOverDrift';
import { propertyTheme } from '../../charts/theme';
import type { Correction } from '../../review/correction';
import type { JudgedResult } from '../../review/judgedResult';
import { unitLabel } from '../../review/wording';
import {
  ADVICE_NOTE,
  adviceSentences,
  CAR_CAUTION,
  fitSentences,
  TERM_HEADS,
  TERM_NOTE,
  termCells,
} from '../correctionStory';
import { figure } from './figures';
import { markup, type SafeHtml } from './safeHtml';

const theme = propertyTheme();
const WIDTH = 590;

/** What explains a drift: conclusions, the causes in a table, drift before and after them as a chart, clicks. */
export async function correctionPart(result: JudgedResult, correction: Correction, id: string): Promise<SafeHtml> {
  const chart = await figure(
    correction.terms.length === 0 ? undefined : leftOverDrift(result, correction, { theme, width: WIDTH, height: 100 }),
    `${id}-left`,
    `Explained and left-over drift of ${unitLabel(result)}`,
    'Drift with gas not taken off, harder upwards. Filled: as measured; dashed: what the causes make of it; hollow: left over.',
  );
  const notes = [...fitSentences(correction), ...correction.reasons];
  return markup`<section aria-labelledby="${id}-cause">
    <h3 id="${id}-cause">What explains the drift</h3>
    ${
      correction.conclusions.length > 0 &&
      markup`<ol class="steps">${correction.conclusions.map(
        ({ text, next }) => markup`<li>${text}${next !== '' && markup`<br />Next: ${next}`}</li>`,
      )}</ol>`
    }
    ${correction.terms.length > 0 && termTable(correction)}
    ${notes.map((note) => markup`<p class="quiet">${note}</p>`)} ${chart} ${clicks(correction)}
  </section>`;
}

function termTable({ terms }: Correction): SafeHtml {
  const rows = terms.map((term) => {
    const [cause, ...cells] = termCells(term);
    return markup`<tr><th scope="row">${cause}</th>${cells.map((cell) => markup`<td>${cell}</td>`)}</tr>`;
  });
  return markup`<div class="scroll" tabindex="0" role="group" aria-label="Causes of the drift"><table><caption>${TERM_NOTE}</caption>
    <thead><tr>${TERM_HEADS.map((head) => markup`<th scope="col">${head}</th>`)}</tr></thead><tbody>${rows}</tbody></table></div>`;
}

function clicks({ advice, state }: Correction): SafeHtml | undefined {
  if (advice === undefined || state === 'nothing') return undefined;
  const lines = advice.groups.flatMap((group) => adviceSentences(group));
  return markup`<h4>Clicks</h4>
    <ul>${lines.map((line) => markup`<li>${line}</li>`)}</ul>
    <p class="quiet">${ADVICE_NOTE} ${CAR_CAUTION}</p>`;
}
