import { describe, expect, it } from 'vitest';
import { compile } from 'vega-lite';
import { clickStepVelocity } from '../../src/charts/adjusters/clickStepVelocity';
import { reachMap } from '../../src/charts/adjusters/reachMap';
import { stepRatios } from '../../src/charts/adjusters/stepRatios';
import { sweepCurves, sweepPanels } from '../../src/charts/adjusters/sweepCurves';
import type { ChartSpec } from '../../src/charts/chartSpec';
import { DARK, LIGHT } from '../../src/charts/theme';
import type { AdjusterReview, SweepShown } from '../../src/review/adjusters/adjusterReview';
import { stepState } from '../../src/review/adjusters/adjusterWording';
import { renderSvg } from '../../src/reports/svg';
import { aSweepWith } from '../review/adjusters/ruleCases';
import { click, judgeSweep } from '../review/adjusters/sweepScenario';
import { VELOCITIES } from '../review/scenario';
import { HOSTILE } from '../text/hostileText';
import { expressionsOf, faultsOf, partsOf, rowsOf } from './vegaLiteCheck';

const LIMITS = { least: 0.5, most: 1.5, law: 'equal-ratio' } as const;
const uneven = judgeSweep(aSweepWith({ step: 1.8, crossTalk: 0.14 }), LIMITS).adjusters!;
const [sweep] = uneven.sweeps as [AdjusterReview];
const [dead] = judgeSweep(aSweepWith({ deadFrom: 6 }), LIMITS).adjusters!.sweeps as [AdjusterReview];

function mustDraw(spec: ChartSpec | undefined): ChartSpec {
  if (spec === undefined) throw new Error('nothing drawn');
  return spec;
}
const theme = LIGHT;
const NOTHING_SHOWN: SweepShown = {
  forces: {},
  effects: {},
  energies: undefined,
  reach: undefined,
  crossTalk: undefined,
};
const drawn: Record<string, ChartSpec> = {
  'reach map': mustDraw(reachMap(uneven, { theme })),
  'reach map, dark': mustDraw(reachMap(uneven, { theme: DARK })),
  'step ratios': mustDraw(stepRatios(sweep, { theme, stateOf: stepState })),
  'step ratios, dead range': mustDraw(stepRatios(dead, { theme, stateOf: stepState })),
  'click step over velocity': mustDraw(clickStepVelocity(sweep, { theme })),
  'settings overlaid': mustDraw(sweepCurves(sweep, { theme, position: 6 })),
  'settings one by one': mustDraw(sweepPanels(sweep, { theme })),
};

describe('charts of adjusters', () => {
  for (const [name, spec] of Object.entries(drawn)) {
    it(`${name}: fits Vega-Lite's schema and compiles without a warning, loads nothing, has no expression`, () => {
      expect(faultsOf(spec)).toEqual([]);
      expect(partsOf(spec).filter((part) => 'url' in part || 'href' in part)).toEqual([]);
      expect(expressionsOf(spec)).toEqual([]);
    });
    it(`${name}: names its axes with units`, () => {
      const titles = partsOf(spec).flatMap(({ axis }) => {
        const title = typeof axis === 'object' && axis !== null ? (axis as { title?: unknown }).title : undefined;
        return typeof title === 'string' ? [title] : Array.isArray(title) ? [title.join(' ')] : [];
      });
      expect(titles.length).toBeGreaterThan(1);
      for (const title of titles) expect(title).toMatch(/\[(mm\/s|N|%|click)\]/);
    });
  }

  it.each(['reach map', 'click step over velocity'])(
    '%s: its legend has no dash, which the markers would bear',
    (name) => {
      const { legends = [] } = compile(drawn[name] as unknown as Parameters<typeof compile>[0]).spec;
      expect(legends).not.toEqual([]);
      for (const legend of legends) {
        expect(legend).toHaveProperty('shape');
        expect(legend).not.toHaveProperty('strokeDash');
      }
    },
  );

  it('reach map: a point an adjuster, side and speed that it moves, rebound downwards', () => {
    const rows = rowsOf(drawn['reach map']!).filter((row) => 'adjuster' in row);
    expect(rows.length).toBeGreaterThanOrEqual(2 * VELOCITIES.length);
    const effect = sweep.details.effects.rebound!;
    const at = rows.find((row) => row['velocity'] === 1000 && Number(row['effect']) < 0);
    expect(-Number(at!['effect'])).toBeCloseTo(effect.perUnit.at(-1)!, 3);
  });

  it('step ratios: every step with its uncertainty, limits and state', () => {
    const rows = rowsOf(drawn['step ratios']!).filter((row) => 'ratio' in row && 'state' in row);
    const lifted = rows.find((row) => row['from'] === 5)!;
    expect(lifted).toMatchObject({ to: 6, ratio: 180, state: 'uneven' });
    expect(Number(lifted['high']) - 180).toBeCloseTo(100 * sweep.steps[5]!.U!, 3);
    const limits = rowsOf(drawn['step ratios']!).filter((row) => 'limit' in row);
    expect(limits.map((row) => row['limit'])).toEqual([50, 150]);
    const states = rowsOf(drawn['step ratios, dead range']!).map((row) => row['state']);
    expect(new Set(states.filter((state) => state !== undefined))).toEqual(new Set(['even', 'dead']));
  });

  it('click step over velocity: the found step by itself, in newtons a click', () => {
    const rows = rowsOf(drawn['click step over velocity']!).filter((row) => row['step'] === 'R 5 to 6 click');
    expect(rows.length).toBeGreaterThanOrEqual(VELOCITIES.length);
    const { damping } = sweep.details.forces.rebound!;
    expect(-Number(rows.at(-1)!['effect'])).toBeCloseTo(damping[5]!.at(-1)! - damping[6]!.at(-1)!, 2);
  });

  it('settings: one in full, every other behind it; one by one, a panel a position', () => {
    const panels = drawn['settings one by one']!['concat'] as readonly { title: { text: string } }[];
    expect(panels.map(({ title }) => title.text)).toEqual(sweep.positions.map((position) => `R ${position} click`));
    const overlaid = rowsOf(drawn['settings overlaid']!).filter((row) => 'position' in row);
    expect(new Set(overlaid.map((row) => row['position']))).toEqual(new Set(sweep.positions));
  });

  it('draw text from files as text, and nothing where there is nothing', async () => {
    for (const hostile of HOSTILE) {
      const named = { ...sweep, id: hostile, unit: hostile };
      for (const spec of [
        reachMap({ sweeps: [named] }, { theme }),
        stepRatios(named, { theme, stateOf: stepState }),
        clickStepVelocity(named, { theme }),
        sweepCurves(named, { theme }),
        sweepPanels(named, { theme }),
      ]) {
        expect(faultsOf(mustDraw(spec))).toEqual([]);
        expect(expressionsOf(mustDraw(spec))).toEqual([]);
      }
    }
    const svg = await renderSvg(
      mustDraw(stepRatios({ ...sweep, unit: '<script>alert(1)</script>' }, { theme, stateOf: stepState })),
      {
        id: 'a',
        title: 't',
        description: 'd',
      },
    );
    expect(svg).not.toContain('<script');
    expect(reachMap({ sweeps: [] }, { theme })).toBeUndefined();
    expect(stepRatios({ ...sweep, steps: [] }, { theme, stateOf: stepState })).toBeUndefined();
    const forceless = { ...sweep, details: { ...NOTHING_SHOWN, effects: sweep.details.effects } };
    expect(sweepPanels(forceless, { theme })).toBeUndefined();
    expect(clickStepVelocity(forceless, { theme })).toBeUndefined();
    expect(click('R', 3).unit).toBe('click');
  });
});
