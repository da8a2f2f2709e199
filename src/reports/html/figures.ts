import type { LoopMeasure } from '../../analysis/runAnalysis';
import type { ChartSpec } from '../../charts/chartSpec';
import { driftOverTolerance } from '../../charts/driftOverTolerance';
import { forceVelocity } from '../../charts/forceVelocity';
import { chosenLoops, loopsChart, type LoopMark } from '../../charts/loops';
import { propertyTheme } from '../../charts/theme';
import type { Setting } from '../../files/spec';
import type { JudgedResult } from '../../review/judgedResult';
import { lengthText, listText, percentText, settingText, speedText, unitLabel } from '../../review/wording';
import { settingKey } from '../../review/referenceCurves';
import { plannedSpeedOf, settingOfVector } from '../resultSettings';
import { renderSvg } from '../svg';
import { markup, SafeHtml } from './safeHtml';

const theme = propertyTheme();
/** Pixels; printed on A4 they come to the width of the sheet. */
const WIDTH = 590;

/** A drawing with its caption. `id` is the page's own; nothing where there is nothing to draw. */
export async function figure(
  spec: ChartSpec | undefined,
  id: string,
  title: string,
  caption: string,
): Promise<SafeHtml | undefined> {
  if (spec === undefined) return undefined;
  const svg = await renderSvg(spec, {
    id,
    title,
    description: `${caption} The numbers stand in the tables of this page.`,
  });
  return markup`<figure>
    ${SafeHtml.ofOwnMarkup(svg)}
    <figcaption>${caption}</figcaption>
  </figure>`;
}

export async function driftFigure(
  result: JudgedResult,
  id: string,
  severalSettings: boolean,
): Promise<SafeHtml | undefined> {
  const others = severalSettings ? ' The shaded range and the marks without a line are the other settings.' : '';
  return figure(
    driftOverTolerance(result, { theme, width: WIDTH, height: 110 }),
    id,
    `Drift over tolerance of ${unitLabel(result)}`,
    `Drift over tolerance${leadingText(result)}; inside between -1 and 1, harder upwards. Bars are the expanded uncertainty, 95\u00a0%.${others}`,
  );
}

export async function forceFigure(result: JudgedResult, id: string, others: boolean): Promise<SafeHtml | undefined> {
  const damping = result.points.some((point) => point.damping !== undefined);
  const withReference = result.points.some((point) => point.reference !== undefined);
  const caption = [
    `${damping ? 'Damping' : 'Load cell'} force over peak velocity${leadingText(result)}.`,
    withReference ? ' Solid: measured; dashed: reference; shaded: tolerance.' : '',
    others ? ' Thin: every other setting.' : '',
  ].join('');
  return figure(
    forceVelocity(result, { theme, width: WIDTH, height: 230, others, force: damping ? 'damping' : 'load cell' }),
    id,
    `Force over velocity of ${unitLabel(result)}`,
    caption,
  );
}

function leadingText(result: JudgedResult): string {
  const point = result.points[result.worst ?? 0];
  return point === undefined || Object.keys(point.setting).length === 0 ? '' : ` at ${settingText(point.setting)}`;
}

/** Loops of one setting: its slowest, middle and fastest step. */
export async function loopFigure(result: JudgedResult, setting: Setting, id: string): Promise<SafeHtml | undefined> {
  const loops = chosenLoops(loopsAt(result, setting));
  const names = distinct(loops.map((loop) => speedText(plannedSpeedOf(result, loop))));
  const at = Object.keys(setting).length === 0 ? '' : ` at ${settingText(setting)}`;
  return figure(
    loopsChart(loops, { theme, width: WIDTH, height: 210, names, marks: marksOf(result, setting, loops) }),
    id,
    `Force over displacement of ${unitLabel(result)}`,
    `Mean loops${at}: ${loops.length < 3 ? 'peak velocity' : 'slowest, middle and fastest step'} ${listText(names)}.`,
  );
}

export function loopsAt(result: JudgedResult, setting: Setting): readonly LoopMeasure[] {
  const key = settingKey(setting);
  return (result.analysis?.loops ?? []).filter((loop) => settingKey(settingOfVector(result, loop.setting)) === key);
}

function distinct(names: readonly string[]): string[] {
  return names.map((name, i) =>
    names.indexOf(name) === i ? name : `${name}, run ${names.slice(0, i + 1).filter((n) => n === name).length}`,
  );
}

/** Where a void or a local drop lies in the stroke. */
function marksOf(result: JudgedResult, setting: Setting, loops: readonly LoopMeasure[]): LoopMark[] {
  const key = settingKey(setting);
  const here = (vector: readonly number[]): boolean => settingKey(settingOfVector(result, vector)) === key;
  const end = Math.max(...loops.map((loop) => loop.amplitude));
  const voids = (result.analysis?.voids ?? [])
    .filter((found) => here(found.setting))
    .map((found): LoopMark => {
      const start = found.side === 'rebound' ? end : -end;
      const to = start + (found.side === 'rebound' ? -found.length : found.length);
      return { side: found.side, from: start, to, label: `no damping over ${lengthText(found.length)}, ${found.side}` };
    });
  const drops = (result.analysis?.drops ?? [])
    .filter((found) => here(found.setting))
    .map((found): LoopMark => ({
      side: found.side,
      from: found.displacement - found.width / 2,
      to: found.displacement + found.width / 2,
      label: `${percentText(found.share)} short, ${found.side}`,
    }));
  return Number.isFinite(end) ? [...voids, ...drops] : [];
}
