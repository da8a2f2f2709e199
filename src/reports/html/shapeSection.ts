import type { SideShape, WithUncertainty } from '../../analysis/shape/sideShape';
import { SIDES } from '../../analysis/side';
import { reboundRatioChart } from '../../charts/reboundRatio';
import { propertyTheme } from '../../charts/theme';
import type { JudgedResult } from '../../review/judgedResult';
import type { ResultShape, SideRatio } from '../../review/resultShape';
import { settingText, unitLabel } from '../../review/wording';
import { bare, decimal } from '../../text/figures';
import { capital } from './findingsList';
import { figure } from './figures';
import { markup, type SafeHtml } from './safeHtml';

const theme = propertyTheme();
const WIDTH = 590;

/** Shape of both sides and of the reference in a table, and rebound over compression by velocity, folded away. */
export async function shapeSection(result: JudgedResult, id: string): Promise<SafeHtml | undefined> {
  const { shape } = result;
  if (shape === undefined) return undefined;
  const at = Object.keys(shape.setting).length === 0 ? '' : ` at ${settingText(shape.setting)}`;
  const withReference = shape.ratios.some(({ reference }) => reference !== undefined);
  const chart = await figure(
    reboundRatioChart(shape.ratios, { theme, width: WIDTH, height: 120 }),
    id,
    `Rebound over compression of ${unitLabel(result)}`,
    `Damping force of rebound over that of compression${at}.${withReference ? ' Solid: measured; dashed: reference.' : ''} Bars are the expanded uncertainty, 95\u00a0%, at most.`,
  );
  return markup`<details>
    <summary>Shape of both sides${shape.piston !== undefined && `: ${shape.piston}`}</summary>
    ${shapeTable(shape, at)} ${chart} ${ratioTable(shape.ratios)}
  </details>`;
}

const COLUMNS: readonly (readonly [head: string, cell: (shape: SideShape) => string])[] = [
  ['Kind', ({ kind }) => kind],
  ['Knee, mm/s', (shape) => (shape.kneeBelowFirstStep ? 'below the first step' : kneeCell(shape))],
  ['Slope below, N s/m', ({ slopeBelow }) => numberText(slopeBelow, 0)],
  ['Slope above, N s/m', ({ slopeAbove }) => numberText(slopeAbove, 0)],
  ['Force at zero speed, N', ({ forceAtZero }) => numberText(forceAtZero, 0)],
  ['Exponent', ({ exponent }) => numberText(exponent, 2)],
];

function kneeCell({ knee }: SideShape): string {
  if (knee === undefined) return '';
  return Number.isFinite(knee.U) ? `${bare.speed(knee.value)} ± ${bare.speed(knee.U)}` : bare.speed(knee.value);
}

function shapeTable(shape: ResultShape, at: string): SafeHtml {
  const rows = SIDES.flatMap((side) => {
    const reference = shape.reference[side];
    return [
      ...(shape[side] === undefined ? [] : [[capital(side), shape[side]] as const]),
      ...(reference === undefined ? [] : [[`${capital(side)}, reference`, reference] as const]),
    ];
  });
  const name = `Shape${at}, each figure ± its expanded uncertainty`;
  const reasons = [...new Set(rows.flatMap(([, { reason }]) => reason ?? []))];
  return markup`<div class="scroll" tabindex="0" role="group" aria-label="${name}">
      <table class="points">
        <caption>${name}</caption>
        <thead>
          <tr>
            <th scope="col">Side</th>
            ${COLUMNS.map(([head]) => markup`<th scope="col">${head}</th>`)}
          </tr>
        </thead>
        <tbody>
          ${rows.map(
            ([side, own]) =>
              markup`<tr>
                <th scope="row">${side}</th>
                ${COLUMNS.map(([, cell]) => markup`<td>${cell(own)}</td>`)}
              </tr>`,
          )}
        </tbody>
      </table>
    </div>
    ${reasons.map((reason) => markup`<p class="quiet">${capital(reason)}.</p>`)}`;
}

function ratioTable(ratios: readonly SideRatio[]): SafeHtml | undefined {
  if (ratios.length === 0) return undefined;
  const name = 'Rebound over compression';
  const rows: readonly (readonly [string, (ratio: SideRatio) => string])[] = [
    ['Measured', ({ ratio }) => decimal(ratio, 2)],
    ['U, at most', ({ U }) => (U === undefined ? '' : decimal(U, 2))],
    ['Reference', ({ reference }) => (reference === undefined ? '' : decimal(reference, 2))],
  ];
  return markup`<div class="scroll" tabindex="0" role="group" aria-label="${name}">
    <table class="points">
      <caption>${name}</caption>
      <thead>
        <tr>
          <th scope="col">mm/s</th>
          ${ratios.map(({ velocity }) => markup`<th scope="col">${bare.speed(velocity)}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          ([head, cell]) =>
            markup`<tr>
              <th scope="row">${head}</th>
              ${ratios.map((ratio) => markup`<td>${cell(ratio)}</td>`)}
            </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

function numberText(known: WithUncertainty | undefined, decimals: number): string {
  if (known === undefined || !Number.isFinite(known.value)) return '';
  const value = decimal(known.value, decimals);
  return Number.isFinite(known.U) ? `${value} ± ${decimal(known.U, decimals)}` : value;
}
