import { comparisonDifference, comparisonOverlay } from '../charts/comparisonCharts';
import { propertyTheme } from '../charts/theme';
import type { Setting } from '../files/spec';
import type { Comparison } from '../review/comparison';
import { countText } from '../review/wording';
import { bare } from '../text/figures';
import {
  COMPARED_HEADS,
  comparedCells,
  comparedSettings,
  meanSentence,
  runTexts,
  SCATTER_NOTE,
  settingName,
  unmatchedSentences,
  type ComparedSetting,
} from './comparisonStory';
import type { HtmlOptions } from './html';
import { figure } from './html/figures';
import { page } from './html/page';
import { markup, type SafeHtml } from './html/safeHtml';

/** Charts of so many settings besides the first are drawn, folded away. */
const MORE_CHARTS = 6;

/** Two runs held against each other, as one page that opens offline. */
export async function renderComparisonHtml(comparison: Comparison, options: HtmlOptions): Promise<string> {
  const runs = runTexts(comparison);
  const [a, b] = runs;
  const title = `${a.label} against ${b.label}`;
  const mean = meanSentence(comparison);
  const [first, ...others] = comparedSettings(comparison);
  const notes = [...comparison.basis, ...unmatchedSentences(comparison)];
  return page(
    title,
    markup`<main aria-labelledby="c-h">
      <h1 id="c-h"><bdi>${a.label}</bdi> against <bdi>${b.label}</bdi></h1>
      <p>${comparison.statement}</p>
      ${mean !== undefined && markup`<p>Mean of B against A: ${mean}.</p>`}
      <dl class="facts">${runs.map(({ letter, about }) => markup`<dt>${letter}</dt><dd>${about}</dd>`)}</dl>
      ${notes.length > 0 && markup`<ul>${notes.map((note) => markup`<li>${note}</li>`)}</ul>`}
      ${specTable(comparison)}
      ${first !== undefined && (await settingPart(comparison, first, 'c0', 'h2'))}
      ${others.length > 0 && (await foldedSettings(comparison, others))}
      <p class="quiet">Made ${options.generated.replace('T', ' ').slice(0, 16)} UTC.</p>
    </main>`,
  );
}

function specTable({ specChanges }: Comparison): SafeHtml | undefined {
  if (specChanges.length === 0) return undefined;
  const cell = (text: string): SafeHtml => markup`<td><code>${text === '' ? 'absent' : text}</code></td>`;
  return markup`<h2>The spec differs</h2><div class="scroll" tabindex="0" role="group" aria-label="Keys of the spec that differ"><table>
    <thead><tr><th scope="col">Key</th><th scope="col">A</th><th scope="col">B</th></tr></thead>
    <tbody>${specChanges.map(({ key, a, b }) => markup`<tr><th scope="row"><code>${key}</code></th>${cell(a)}${cell(b)}</tr>`)}</tbody></table></div>`;
}

async function settingPart(
  comparison: Comparison,
  group: ComparedSetting,
  id: string,
  level: 'h2' | 'h3',
): Promise<SafeHtml> {
  const charts = await chartsOf(comparison, group.setting, id);
  const name = settingName(group.setting);
  const heading = level === 'h2' ? markup`<h2>${name}</h2>` : markup`<h3>${name}</h3>`;
  return markup`${heading}${charts}${table(group)}`;
}

async function chartsOf(comparison: Comparison, setting: Setting, id: string): Promise<SafeHtml> {
  const [a, b] = runTexts(comparison);
  const options = { theme: propertyTheme(), width: 590, setting, names: [`A: ${a.label}`, `B: ${b.label}`] as const };
  const overlay = await figure(
    comparisonOverlay(comparison, { ...options, height: 250 }),
    `${id}-overlay`,
    `Damping force of ${a.label} and ${b.label}`,
    'Damping force over peak velocity. A dashed, B solid.',
  );
  const difference = await figure(
    comparisonDifference(comparison, { ...options, height: 100 }),
    `${id}-difference`,
    `Difference of ${b.label} from ${a.label}`,
    'B less A, harder upwards. Bars are the expanded uncertainty of the difference, 95\u00a0%.',
  );
  return markup`${overlay}${difference}`;
}

async function foldedSettings(comparison: Comparison, others: readonly ComparedSetting[]): Promise<SafeHtml> {
  const parts: SafeHtml[] = [];
  for (const [i, group] of others.entries())
    parts.push(
      i < MORE_CHARTS
        ? await settingPart(comparison, group, `c${i + 1}`, 'h3')
        : markup`<h3>${settingName(group.setting)}</h3>${table(group)}`,
    );
  return markup`<details><summary>${countText(others.length, 'more setting')}</summary>${parts}</details>`;
}

function table({ setting, rows }: ComparedSetting): SafeHtml {
  const heads = [0, 1]
    .map(() => COMPARED_HEADS.map((head, i) => markup`<th scope="col"${edge(i)}>${head}</th>`))
    .flat();
  const body = rows.map((row) => {
    const cells = [row.compression, row.rebound].map((point) =>
      comparedCells(point).map((cell, i) => markup`<td${edge(i)}>${cell}`),
    );
    const pass = row.pass > 1 ? ` (run ${row.pass})` : '';
    return markup`<tr><th scope="row">${bare.speed(row.velocity)}${pass}${cells.flat()}\n`;
  });
  const name = settingName(setting);
  return markup`<div class="scroll" tabindex="0" role="group" aria-label="${name}"><table class="points"><caption>${SCATTER_NOTE}</caption>
    <thead><tr><th rowspan="2" scope="col">mm/s</th><th colspan="4" scope="colgroup" class="side edge">Compression</th><th colspan="4" scope="colgroup" class="side edge">Rebound</th></tr>
    <tr>${heads}</tr></thead><tbody>${body}</tbody></table></div>`;
}

function edge(index: number): SafeHtml | undefined {
  return index === 0 ? markup` class="edge"` : undefined;
}
