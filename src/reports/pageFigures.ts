import type { LoopMeasure } from '../analysis/runAnalysis';
import { pointsUnderCeiling } from '../charts/cavitationLine';
import type { ChartSpec } from '../charts/chartSpec';
import { driftOverTolerance } from '../charts/driftOverTolerance';
import { forceVelocity } from '../charts/forceVelocity';
import { curveOf, leadingSetting } from '../charts/pointSets';
import { chosenLoops, loopsChart, type LoopMark } from '../charts/loops';
import type { ChartTheme } from '../charts/theme';
import type { Setting } from '../files/spec';
import type { JudgedPoint, JudgedResult } from '../review/judgedResult';
import { settingKey } from '../review/referenceCurves';
import { lengthText, listText, percentText, settingText, speedText, unitLabel } from '../review/wording';
import { plannedSpeedOf, settingOfVector } from './resultSettings';

/** A chart with its words, as report and page show it. */
export interface Drawing {
  readonly spec: ChartSpec;
  readonly title: string;
  readonly caption: string;
}

export interface DrawingOptions {
  readonly theme: ChartTheme;
  readonly width: number;
  readonly height?: number;
  /** Setting that is drawn in full; that of the worst point where absent. */
  readonly setting?: Setting;
  /** Every other setting behind it. */
  readonly others?: boolean;
  /** Row that each point stands for, where points can be chosen. */
  readonly rowOf?: (point: JudgedPoint) => number;
  /** Points of the same result as they were judged before, behind the drift. */
  readonly before?: readonly JudgedPoint[];
}

export function driftDrawing(result: JudgedResult, options: DrawingOptions): Drawing | undefined {
  const spec = driftOverTolerance(result, { height: 110, ...options });
  if (spec === undefined) return undefined;
  const others =
    options.others === true ? ' The shaded range and the marks without a line are the other settings.' : '';
  const earlier = options.before === undefined ? '' : ' Dashed, with squares: as judged before.';
  return {
    spec,
    title: `Drift over tolerance of ${unitLabel(result)}`,
    caption: `Drift over tolerance${atSetting(result, options.setting)}; inside between -1 and 1, harder upwards. Bars are the expanded uncertainty, 95\u00a0%.${others}${earlier}`,
  };
}

export function forceDrawing(result: JudgedResult, options: DrawingOptions): Drawing | undefined {
  const damping = result.points.some((point) => point.damping !== undefined);
  const spec = forceVelocity(result, { height: 230, ...options, force: damping ? 'damping' : 'load cell' });
  if (spec === undefined) return undefined;
  const withReference = result.points.some((point) => point.reference !== undefined);
  const caption = [
    `${damping ? 'Damping' : 'Load cell'} force over peak velocity${atSetting(result, options.setting)}.`,
    withReference ? ' Solid: measured; dashed: reference; shaded: tolerance.' : '',
    options.others === true ? ' Thin: every other setting.' : '',
    ceilingDrawn(result, options.setting)
      ? ' Dotted: the most compression damping that gas pressure holds without a base valve.'
      : '',
  ].join('');
  return { spec, title: `Force over velocity of ${unitLabel(result)}`, caption };
}

/** Loops of one setting: its slowest, middle and fastest step. */
export function loopDrawing(result: JudgedResult, setting: Setting, options: DrawingOptions): Drawing | undefined {
  const loops = chosenLoops(loopsAt(result, setting));
  const names = distinct(loops.map((loop) => speedText(plannedSpeedOf(result, loop))));
  const { theme, width } = options;
  const spec = loopsChart(loops, { theme, width, height: 210, names, marks: marksOf(result, setting, loops) });
  if (spec === undefined) return undefined;
  const at = Object.keys(setting).length === 0 ? '' : ` at ${settingText(setting)}`;
  return {
    spec,
    title: `Force over displacement of ${unitLabel(result)}`,
    caption: `Mean loops${at}: ${loops.length < 3 ? 'peak velocity' : 'slowest, middle and fastest step'} ${listText(names)}.`,
  };
}

function ceilingDrawn(result: JudgedResult, chosen: Setting | undefined): boolean {
  const setting = chosen ?? leadingSetting(result);
  return setting !== undefined && pointsUnderCeiling(curveOf(result.points, setting, 'compression')).length > 0;
}

function atSetting(result: JudgedResult, chosen: Setting | undefined): string {
  const setting = chosen ?? result.points[result.worst ?? 0]?.setting;
  return setting === undefined || Object.keys(setting).length === 0 ? '' : ` at ${settingText(setting)}`;
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
