import { comparisonDifference, comparisonOverlay, leadingComparedSetting } from '../charts/comparisonCharts';
import { propertyTheme } from '../charts/theme';
import type { ComparedPoint, Comparison } from '../review/comparison';
import { settingText } from '../review/wording';
import { bare } from '../text/figures';
import { largestDifference, meanDifferences, onlyOne, pointsBySetting, runLine, runNames } from './comparisonStory';
import type { HtmlOptions } from './html';
import { figure } from './html/figures';
import { page } from './html/page';
import { markup, type SafeHtml } from './html/safeHtml';
import { GAS_CAUTION } from './resultStory';

/** The comparison as one page that opens offline: overlay, difference, tables, what changed in the spec. */
export async function renderComparisonHtml(comparison: Comparison, options: HtmlOptions): Promise<string> {
  const title = `${runLine(comparison.a)} against ${runLine(comparison.b)}`;
  const largest = largestDifference(comparison);
  const notes = [...comparison.basis, ...onlyOne(comparison)];
  return page(
    title,
    markup`<header class="top">
        <h1>${title}</h1>
        <p>${comparison.statement}</p>
        ${largest !== undefined && markup`<p>Largest difference: ${largest}.</p>`}
        ${comparison.points.length > 0 && markup`<p>On average: ${meanDifferences(comparison)}.</p>`}
        ${notes.map((note) => markup`<p>${note}</p>`)}
        <p class="quiet">
          Made ${options.generated.replace('T', ' ').slice(0, 16)} UTC. A: <bdi>${comparison.a.file}</bdi>. B:
          <bdi>${comparison.b.file}</bdi>.
        </p>
      </header>
      <main>${await figures(comparison)} ${specTable(comparison)} ${tables(comparison)}
        <p class="quiet">${GAS_CAUTION}</p>
      </main>`,
  );
}

async function figures(comparison: Comparison): Promise<SafeHtml[]> {
  const setting = leadingComparedSetting(comparison);
  if (setting === undefined) return [];
  const chart = { theme: propertyTheme(), width: 590, setting, names: runNames(comparison) };
  const at = Object.keys(setting).length === 0 ? '' : ` at ${settingText(setting)}`;
  const drawn = [
    await figure(
      comparisonOverlay(comparison, chart),
      'overlay',
      'Damping force of both',
      `Damping force over peak velocity${at}. Dashed: A; solid: B.`,
    ),
    await figure(
      comparisonDifference(comparison, chart),
      'difference',
      'Difference of damping force',
      `B less A${at}, harder upwards. Bars are the expanded uncertainty of the difference.`,
    ),
  ];
  return drawn.filter((one) => one !== undefined);
}

function specTable({ specChanges }: Comparison): SafeHtml {
  if (specChanges.length === 0) return markup`<p>Nothing differs in the spec.</p>`;
  return markup`<h2>What changed in the spec</h2>
    <table>
      <thead>
        <tr><th scope="col">Key</th><th scope="col">A</th><th scope="col">B</th></tr>
      </thead>
      <tbody>
        ${specChanges.map(({ key, a, b }) => markup`<tr><th scope="row">${key}</th><td>${a}</td><td>${b}</td></tr>`)}
      </tbody>
    </table>`;
}

function tables(comparison: Comparison): SafeHtml[] {
  return pointsBySetting(comparison).map(({ setting, points }, i) => {
    const at = Object.keys(setting).length === 0 ? '' : ` at ${settingText(setting)}`;
    const table = markup`<table>
      <thead>
        <tr>
          <th scope="col">Side</th><th scope="col">mm/s</th><th scope="col">A [N]</th><th scope="col">B [N]</th>
          <th scope="col">B - A [N]</th><th scope="col">U [N]</th><th scope="col">Beyond cycle scatter</th>
        </tr>
      </thead>
      <tbody>
        ${points.map(pointRow)}
      </tbody>
    </table>`;
    return i === 0
      ? markup`<h2>Damping force${at}</h2>
          ${table}`
      : markup`<details>
          <summary>Damping force${at}</summary>
          ${table}
        </details>`;
  });
}

function pointRow(point: ComparedPoint): SafeHtml {
  const uncertainty = Number.isFinite(point.uncertainty) ? bare.force(point.uncertainty) : '';
  return markup`<tr>
    <th scope="row">${point.side}</th>
    <td>${bare.speed(point.velocity)}</td>
    <td>${bare.force(point.a)}</td>
    <td>${bare.force(point.b)}</td>
    <td>${bare.signedForce(point.difference)}</td>
    <td>${uncertainty}</td>
    <td>${point.beyondScatter ? 'yes' : 'no'}</td>
  </tr>`;
}
