import { countsOf } from '../review/findingTally';
import type { Finding } from '../review/finding';
import type { ReviewOutcome } from '../review/judgedResult';
import { countText, unitLabel } from '../review/wording';
import { findingsList } from './html/findingsList';
import { overviewTable } from './html/overview';
import { page } from './html/page';
import { resultSection } from './html/resultSection';
import { markup, type SafeHtml } from './html/safeHtml';
import { findingsOfFiles, GAS_CAUTION, PASS_CAUTION, summarySentences } from './resultStory';

export interface HtmlOptions {
  /** When the page is made, ISO 8601; stands on every sheet. */
  readonly generated: string;
  /** Sheets in one page, of the first results, failures before passes: 100 unless said otherwise. */
  readonly mostSheets?: number;
}

/** Of 2,000 results the page had 106 MB and took two and a half minutes to draw. */
const MOST_SHEETS = 100;
/** Further findings of files are folded away: of 2,000 logs that were not fetched, the results would begin on page 200. */
const MOST_OF_FILES = 20;

/**
 * The outcome as one page that opens offline: no script, nothing fetched, charts drawn in place. Printed on A4 each result
 * is a release sheet. With several results an overview stands first; of very many the last stand in it alone.
 */
export async function renderHtml(outcome: ReviewOutcome, options: HtmlOptions): Promise<string> {
  const idOf = (index: number): string => `r${index + 1}`;
  const { mostSheets = MOST_SHEETS } = options;
  const sheets: SafeHtml[] = [];
  for (const [i, result] of outcome.results.slice(0, mostSheets).entries())
    sheets.push(await resultSection(result, idOf(i), options.generated));
  const without = outcome.results.length - sheets.length;
  const [only] = outcome.results;
  const title =
    outcome.results.length === 1 && only !== undefined ? `${unitLabel(only)}: damper review` : 'Damper review';
  const files = findingsOfFiles(outcome);
  return page(
    title,
    markup`<a class="skip" href="#results">Skip to the results</a>
      <header class="top">
        <h1>${title}</h1>
        <p>
          <span class="word ${outcome.verdict}">${outcome.verdict.toUpperCase()}</span>
          ${summarySentences(outcome.results, countsOf(outcome.findings)).join(' ')}
        </p>
        <p class="quiet">
          Made ${options.generated.replace('T', ' ').slice(0, 16)} UTC, analysis method ${outcome.method}.
        </p>
        ${outcome.results.length > 1 && overviewTable(outcome.results, (i) => (i < mostSheets ? idOf(i) : undefined))}
        ${files.length > 0 && filesPart(files)}
      </header>
      <main id="results">${sheets} ${without > 0 && withoutSheets(without)} ${cautions()}</main>`,
  );
}

function filesPart(findings: readonly Finding[]): SafeHtml {
  const more = findings.slice(MOST_OF_FILES);
  return markup`<h2>Files</h2>
    ${findingsList(findings.slice(0, MOST_OF_FILES))}
    ${
      more.length > 0 &&
      markup`<details>
        <summary>${countText(more.length, 'more finding')} of files</summary>
        ${findingsList(more)}
      </details>`
    }`;
}

function withoutSheets(count: number): SafeHtml {
  return markup`<p>
    ${countText(count, 'result')} more, the last of the overview, ${count === 1 ? 'stands' : 'stand'} in it alone: with all sheets the
    page would be too large to open. For the sheet of one damper, check its folder alone, as in
    <code>damper-review check dampers/F-001 --format html</code>.
  </p>`;
}

function cautions(): SafeHtml {
  return markup`<section class="cautions" aria-labelledby="cautions">
    <h2 id="cautions">Before anyone acts on this</h2>
    <ul>
      <li>${PASS_CAUTION} Series rules, local codes and licensed practice decide on use on road or track.</li>
      <li>${GAS_CAUTION} Oil under pressure pierces skin, and a gas damper extends when unclamped.</li>
      <li>
        Benches crush: guards shut, stop in reach, no hands while powered. Check by hand that the stroke tops or bottoms
        nowhere. Hot dampers burn.
      </li>
      <li>On the car: same settings left and right, first laps slow; check bump stop, top-out and tyre clearance.</li>
    </ul>
  </section>`;
}
