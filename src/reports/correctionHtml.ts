import type { Correction } from '../review/correction';
import type { JudgedResult } from '../review/judgedResult';
import { verdictSentence } from '../review/verdictSentence';
import { unitLabel } from '../review/wording';
import type { HtmlOptions } from './html';
import { correctionPart } from './html/correctionPart';
import { page } from './html/page';
import { markup } from './html/safeHtml';
import { GAS_CAUTION } from './resultStory';

/** What explains the drift of one result, as one page that opens offline. */
export async function renderCorrectionHtml(
  result: JudgedResult,
  correction: Correction,
  options: HtmlOptions,
): Promise<string> {
  const title = `${unitLabel(result)}: what explains the drift`;
  return page(
    title,
    markup`<main aria-labelledby="c-h">
      <h1 id="c-h">${title}</h1>
      <p>${verdictSentence(result)}</p>
      <p class="quiet">${result.file}</p>
      ${await correctionPart(result, correction, 'c')}
      <p class="quiet">${GAS_CAUTION}</p>
      <p class="quiet">Made ${options.generated.replace('T', ' ').slice(0, 16)} UTC.</p>
    </main>`,
  );
}
