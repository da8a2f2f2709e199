import type { JudgedResult } from '../../review/judgedResult';
import { DECISION_RULE } from '../../review/decisionRule';
import { verdictAdvice, verdictWord } from '../../review/verdictSentence';
import { countText, lengthText, settingText, temperatureText } from '../../review/wording';
import { runToRunText } from '../changeParts';
import { rowsBySetting } from '../driftFigures';
import { GAS_CAUTION, PASS_CAUTION, verdictParts } from '../resultStory';
import { adjustersSection } from './adjustersSection';
import { correctionPart } from './correctionPart';
import { loopsAt } from '../pageFigures';
import { driftFigure, forceFigure, loopFigure } from './figures';
import { findingsList } from './findingsList';
import { pointsTables } from './pointsTable';
import { shapeSection } from './shapeSection';
import { markup, type SafeHtml } from './safeHtml';
import { openingFacts, stepsOf } from '../openingFacts';

/** Loops of so many more settings are drawn, folded away; those with a finding first. */
const MORE_LOOPS = 4;

/** The release sheet of one result. `id` is a name of the page's own. */
export async function resultSection(result: JudgedResult, id: string, generated: string): Promise<SafeHtml> {
  const groups = rowsBySetting(result);
  const several = groups.length > 1;
  const leading = groups[0]?.setting;
  const drift = await driftFigure(result, `${id}-drift`, several);
  const force = await forceFigure(result, `${id}-force`, false);
  const loops = leading === undefined ? undefined : await loopFigure(result, leading, `${id}-loops`);
  return markup`<article class="sheet" id="${id}" aria-labelledby="${id}-h">
    <div class="runner">${titleBlock(result, generated)}</div>
    <div class="folio">
      <h2 id="${id}-h">${verdictHeading(result)}</h2>
      ${opening(result)} ${drift} ${force} ${several && (await foldedSettings(result, `${id}-all`))}
      ${result.correction !== undefined && (await correctionPart(result, result.correction, id))}
      ${
        loops !== undefined &&
        markup`<h3>Loops</h3>
          ${loops}${await foldedLoops(result, id)}`
      }
      ${await adjustersSection(result, `${id}-adj`)} ${await shapeSection(result, `${id}-ratio`)}
      ${
        result.findings.length > 0 &&
        markup`<h3>Findings</h3>
          ${findingsList(result.findings)}`
      }
      ${pointsTables(result)} ${circumstances(result)}
      <p class="sign"><span>Released or rejected by</span><span>Date</span></p>
    </div>
  </article>`;
}

/** As on a drawing: what this sheet is about, on every printed page of it. */
function titleBlock(result: JudgedResult, generated: string): SafeHtml {
  const origin = result.table.result;
  const cells: readonly (readonly [string, string, string])[] = [
    ['Damper', result.serial, ''],
    ['Build', origin?.run === undefined || origin.run < 2 ? result.build : `${result.build}, run ${origin.run}`, ''],
    ['Spec', result.spec?.title === undefined ? result.specId : `${result.specId}, ${result.spec.title}`, 'wide'],
    ['Tested', (origin?.date ?? '').slice(0, 10), ''],
    ['Bench', origin?.bench ?? '', ''],
    ['Reviewed', generated.slice(0, 10), ''],
    ['Verdict', verdictWord(result.verdict, result.spec?.purpose), ''],
  ];
  return markup`<dl class="block">
    ${cells.map(
      ([name, value, kind]) =>
        markup`<div class="${kind}">
          <dt>${name}</dt>
          <dd>${value === '' ? '-' : value}</dd>
        </div>`,
    )}
  </dl>`;
}

function verdictHeading(result: JudgedResult): SafeHtml {
  const { name, word, rest } = verdictParts(result);
  return markup`<bdi>${name}</bdi> <span class="word ${result.verdict}">${word}</span>${rest}`;
}

/** What a reviewer needs before any chart: advice, whether the test can decide, what loops and gas show, what to do. */
function opening(result: JudgedResult): SafeHtml {
  const rows = openingFacts(result).map(
    ([name, text]) =>
      markup`<dt>${name}</dt>
        <dd>${text}</dd>`,
  );
  const steps = stepsOf(result);
  return markup`<p>${verdictAdvice(result)}${result.verdict === 'pass' && ` ${PASS_CAUTION}`}</p>
    <dl class="facts">${rows}</dl>
    ${
      steps.length > 0 &&
      markup`<h3>What to do</h3>
        <ol class="steps">
          ${steps.map((step) => markup`<li>${step}</li>`)}
        </ol>`
    }
    ${result.verdict === 'fail' && markup`<p class="quiet">${GAS_CAUTION}</p>`}`;
}

async function foldedSettings(result: JudgedResult, id: string): Promise<SafeHtml> {
  const figure = await forceFigure(result, id, true);
  return markup`<details>
    <summary>Every setting in one chart</summary>
    ${figure}
  </details>`;
}

async function foldedLoops(result: JudgedResult, id: string): Promise<SafeHtml | undefined> {
  const marked = new Set(
    [...(result.analysis?.voids ?? []), ...(result.analysis?.drops ?? [])].map((found) => found.setting.join(' ')),
  );
  const others = rowsBySetting(result)
    .slice(1)
    .filter(({ setting }) => loopsAt(result, setting).length > 0)
    .map(({ setting }) => ({ setting, found: marked.has(Object.values(setting).join(' ')) }))
    .sort((a, b) => Number(b.found) - Number(a.found));
  if (others.length === 0) return undefined;
  const drawn: (SafeHtml | string)[] = [];
  for (const [i, { setting }] of others.slice(0, MORE_LOOPS).entries()) {
    const figure = await loopFigure(result, setting, `${id}-loops-${i}`);
    if (figure !== undefined) drawn.push(markup`<h4>${settingText(setting)}</h4>`, figure);
  }
  const left = others.length - Math.min(others.length, MORE_LOOPS);
  return markup`<details>
    <summary>Loops of ${countText(others.length - left, 'more setting')}</summary>
    ${drawn}${left > 0 && markup`<p class="quiet">${countText(left, 'setting')} not drawn; figures of every loop are in the JSON document.</p>`}
  </details>`;
}

/** How it was tested and judged: without this a verdict means nothing later. */
function circumstances(result: JudgedResult): SafeHtml {
  const { basis, result: origin } = result.table;
  const temperatures = result.points.flatMap((point) => point.temperature ?? []);
  const adopted = result.reference?.adopted;
  const rows: readonly (readonly [string, string | undefined])[] = [
    ['Result', result.file],
    ['Test logs', result.logs.filter((log) => log !== result.file).join(', ')],
    ['Reference', referenceText(result, adopted)],
    [
      'Drive',
      [basis.drive, basis.stroke === undefined ? undefined : `stroke ${lengthText(basis.stroke)}`]
        .filter(Boolean)
        .join(', '),
    ],
    [
      'Temperature',
      temperatures.length === 0
        ? undefined
        : `${temperatureText(Math.min(...temperatures))} to ${temperatureText(Math.max(...temperatures))}`,
    ],
    ['Decided by', result.decisionRule ?? DECISION_RULE],
    ['Uncertainty', result.benchIncluded ? 'includes that of the bench' : 'bench uncertainty not included'],
    ['Scatter of runs', result.runToRun && `${runToRunText(result.runToRun)}; in the uncertainty`],
    ['Not compared', (result.notCompared ?? []).join('; ')],
    ['Analysis', origin?.method === undefined ? undefined : `method ${origin.method}`],
  ];
  const shown = rows.filter((row): row is readonly [string, string] => row[1] !== undefined && row[1] !== '');
  return markup`<h3>How it was tested and judged</h3>
    <dl class="facts">
      ${shown.map(
        ([name, text]) =>
          markup`<dt>${name}</dt>
            <dd>${text}</dd>`,
      )}
    </dl>`;
}

function referenceText(
  result: JudgedResult,
  adopted: { readonly from: readonly string[]; readonly on?: string; readonly reason?: string } | undefined,
): string | undefined {
  if (result.reference === undefined) return undefined;
  const parts = [
    result.reference.file,
    ...(adopted === undefined
      ? []
      : [`adopted${adopted.on === undefined ? '' : ` on ${adopted.on}`} from ${adopted.from.join(', ')}`]),
    ...(adopted?.reason === undefined ? [] : [adopted.reason]),
  ];
  return parts.join('; ');
}
