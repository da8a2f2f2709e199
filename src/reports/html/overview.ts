import type { JudgedResult } from '../../review/judgedResult';
import { worstPointOf } from '../../review/lazyPoints';
import { verdictWord } from '../../review/verdictSentence';
import { settingOfSideText, speedRangeText } from '../../review/wording';
import { signedShare } from '../driftFigures';
import { countedFindings, namesNeedingFiles, verdictParts } from '../resultStory';
import { markup, type SafeHtml } from './safeHtml';

/** One row a result, failures before passes, each leading to its sheet where it has one. */
export function overviewTable(results: readonly JudgedResult[], idOf: (index: number) => string | undefined): SafeHtml {
  const alike = namesNeedingFiles(results);
  const rows = results.map((result, i) => {
    const worst = worstOf(result);
    const { name } = verdictParts(result);
    const id = idOf(i);
    const shown = markup`<bdi>${name}</bdi>`;
    return markup`<tr>
      <th scope="row">
        ${id === undefined ? shown : markup`<a href="#${id}">${shown}</a>`}${alike.has(result.file) && markup`<br /><code>${fileName(result.file)}</code>`}
      </th>
      <td class="id">${result.specId}</td>
      <td><span class="word ${result.verdict}">${verdictWord(result.verdict, result.spec?.purpose)}</span></td>
      <td>${worst?.share}</td>
      <td>${worst?.place ?? result.reasons[0]}</td>
      <td>${countedFindings(result.findings).join(' ').replace(/\.$/, '')}</td>
    </tr> `;
  });
  return markup`<div class="scroll" tabindex="0" role="group" aria-label="All results">
    <table>
      <caption>
        All results, failures before passes; percent of tolerance, harder positive
      </caption>
      <thead>
        <tr>
          <th scope="col">Damper</th>
          <th scope="col">Spec</th>
          <th scope="col">Verdict</th>
          <th scope="col">% of tolerance</th>
          <th scope="col">Worst point or reason</th>
          <th scope="col">Findings</th>
        </tr>
      </thead>
      <tbody>
        ${rows}
      </tbody>
    </table>
  </div>`;
}

function worstOf(result: JudgedResult): { readonly share: string; readonly place: string } | undefined {
  const worst = worstPointOf(result);
  const share = signedShare(worst);
  if (worst === undefined || share === undefined) return undefined;
  const band = worst.verdict === 'pass' ? undefined : result.bands.find((b) => b.points.includes(result.worst!));
  const speeds = speedRangeText(band?.from ?? worst.velocity, band?.to ?? worst.velocity);
  const setting =
    Object.keys(worst.setting).length === 0 ? '' : `, ${settingOfSideText(worst.setting, worst.side, result.spec)}`;
  const elsewhere = result.verdict !== worst.verdict && result.reasons[0] !== undefined ? `${result.reasons[0]}; ` : '';
  return { share, place: `${elsewhere}${worst.side} ${speeds}${setting}` };
}

function fileName(path: string): string {
  return path.slice(path.lastIndexOf('/') + 1);
}
