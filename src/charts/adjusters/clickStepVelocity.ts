import type { Side } from '../../analysis/side';
import type { AdjusterReview, ReviewedStep } from '../../review/adjusters/adjusterReview';
import { measure, milli, rounded, SCHEMA, SIDES, SIGN, type ChartSpec, type Json, type JsonObject } from '../chartSpec';
import { themeConfig, type ChartTheme } from '../theme';

export interface ClickStepOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  readonly height?: number;
  /** Steps that are drawn by themselves; the others are the thin ones. */
  readonly drawn?: readonly ReviewedStep[];
}

/** So many steps by themselves stay readable. */
const MOST_DRAWN = 3;

/**
 * What each step of a sweep does over velocity: damping lost a unit, compression upwards and rebound downwards. Every step thin, the mean
 * effect solid, and the steps that were found, or are asked for, with a dash and marker of their own. Undefined without forces.
 */
export function clickStepVelocity(sweep: AdjusterReview, options: ClickStepOptions): ChartSpec | undefined {
  const { theme, width = 600, height = 200 } = options;
  const found =
    options.drawn ?? sweep.steps.filter(({ uneven, wrongWay, outsideLimits }) => uneven || wrongWay || outsideLimits);
  const drawn = found.slice(0, MOST_DRAWN);
  const sides = SIDES.filter(
    (side) => (sweep.side === 'both' || sweep.side === side) && sweep.details.forces[side] !== undefined,
  );
  if (sides.length === 0) return undefined;
  const names = ['mean of all steps', ...drawn.map((step) => nameOf(sweep, step))];
  const x = measure('velocity', {
    scale: { zero: true, nice: false },
    axis: { title: 'peak velocity [mm/s]', grid: true, tickCount: 8 },
  });
  const y = measure('effect', {
    scale: { zero: true, nice: true },
    axis: { title: [`damping lost`, `a ${sweep.unit} [N]`], grid: true, tickCount: 5 },
  });
  const colour = {
    field: 'step',
    type: 'nominal',
    scale: { domain: names, range: [theme.ink, ...theme.series].slice(0, names.length) },
  };
  // By number: by name it would share the legend of the markers, and dash their outlines.
  const dash = {
    field: 'index',
    type: 'nominal',
    legend: null,
    scale: {
      domain: names.map((_, i) => i),
      range: [
        [1, 0],
        [7, 3],
        [2, 2.5],
        [9, 3, 2, 3],
      ].slice(0, names.length),
    },
  };
  const shape = {
    field: 'step',
    type: 'nominal',
    scale: { domain: names, range: ['circle', 'square', 'triangle-up', 'diamond'].slice(0, names.length) },
  };
  const thin = sides.flatMap((side) => sweep.steps.flatMap((step, i) => stepRows(sweep, side, step, `${side} ${i}`)));
  const bold = sides
    .flatMap((side) => [
      ...meanRows(sweep, side),
      ...drawn.flatMap((step) => stepRows(sweep, side, step, nameOf(sweep, step))),
    ])
    .map((row): JsonObject => ({ ...row, index: names.indexOf(row['step'] as string) }));
  return {
    $schema: SCHEMA,
    width,
    height,
    layer: [
      {
        data: { values: [{ effect: 0 }] },
        mark: { type: 'rule', color: theme.edge },
        encoding: { y: measure('effect') },
      },
      {
        data: { values: thin },
        mark: { type: 'line', interpolate: 'monotone', color: theme.quiet, strokeWidth: 0.7, opacity: 0.6 },
        encoding: { x, y, detail: { field: 'step', type: 'nominal' } },
      },
      ...sides.map((side): Json => ({
        data: { values: bold.filter((row) => row['side'] === side) },
        layer: [
          {
            mark: { type: 'line', interpolate: 'monotone', strokeWidth: 1.8 },
            encoding: { x, y, color: colour, strokeDash: dash },
          },
          {
            mark: { type: 'point', size: 40, opacity: 1, fill: theme.paper },
            encoding: { x, y, stroke: colour, shape },
          },
        ],
      })),
    ],
    config: themeConfig(theme),
  };
}

function nameOf({ id, unit }: AdjusterReview, { from, to }: ReviewedStep): string {
  return `${id} ${rounded(from)} to ${rounded(to)} ${unit}`;
}

function meanRows(sweep: AdjusterReview, side: Side): JsonObject[] {
  const effect = sweep.details.effects[side];
  if (effect === undefined) return [];
  return effect.speeds.map((speed, k) => ({
    side,
    velocity: milli(speed),
    effect: rounded(SIGN[side] * effect.perUnit[k]!),
    step: 'mean of all steps',
  }));
}

function stepRows(sweep: AdjusterReview, side: Side, { from, to }: ReviewedStep, step: string): JsonObject[] {
  const forces = sweep.details.forces[side];
  if (forces === undefined) return [];
  const a = forces.damping[sweep.positions.indexOf(from)];
  const b = forces.damping[sweep.positions.indexOf(to)];
  if (a === undefined || b === undefined) return [];
  const opens = sweep.countsFrom === 'closed' ? 1 : -1;
  return forces.speeds.map((speed, k) => ({
    side,
    velocity: milli(speed),
    effect: rounded((SIGN[side] * opens * (a[k]! - b[k]!)) / (to - from)),
    step,
  }));
}
