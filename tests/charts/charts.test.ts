import { describe, expect, it } from 'vitest';
import { comparisonDifference, comparisonOverlay, leadingComparedSetting } from '../../src/charts/comparisonCharts';
import { ticksThatFit, type ChartSpec } from '../../src/charts/chartSpec';
import { driftOverTolerance } from '../../src/charts/driftOverTolerance';
import { forceVelocity } from '../../src/charts/forceVelocity';
import { chosenLoops, loopsChart } from '../../src/charts/loops';
import { reboundRatioChart } from '../../src/charts/reboundRatio';
import { LIGHT } from '../../src/charts/theme';
import type { JudgedResult } from '../../src/review/judgedResult';
import { compared } from '../reports/fixtures/comparisons';
import { inventedResult } from '../reports/fixtures/inventedDamper';
import { failing, gasLow, passing, undecided, unreferenced } from '../reports/fixtures/outcomes';
import { HOSTILE } from '../text/hostileText';
import { expressionsOf, faultsOf, partsOf, rowsOf } from './vegaLiteCheck';
import { thorough } from '../thorough';

const theme = LIGHT;
const loops = chosenLoops(gasLow.analysis!.loops);
const names: readonly [string, string] = ['F-017 build 1', 'F-017 build 2'];

function mustDraw(spec: ChartSpec | undefined): ChartSpec {
  if (spec === undefined) throw new Error('nothing drawn');
  return spec;
}

const drawn: Record<string, ChartSpec> = {
  'drift, failing': mustDraw(driftOverTolerance(failing, { theme })),
  'drift, undecided': mustDraw(driftOverTolerance(undecided, { theme })),
  force: mustDraw(forceVelocity(failing, { theme, others: true })),
  'force, signed, load cell': mustDraw(forceVelocity(failing, { theme, force: 'load cell', velocity: 'signed' })),
  'force without reference': mustDraw(forceVelocity(unreferenced, { theme })),
  loops: mustDraw(
    loopsChart(loops, {
      theme,
      names: ['5 mm/s', '600 mm/s', '1500 mm/s'],
      marks: [{ side: 'rebound', from: 0.025, to: 0.0226, label: 'void 2.4 mm, rebound' }],
    }),
  ),
  overlay: mustDraw(comparisonOverlay(compared, { theme, setting: leadingComparedSetting(compared)!, names })),
  'rebound over compression': mustDraw(reboundRatioChart(failing.shape!.ratios, { theme })),
  difference: mustDraw(comparisonDifference(compared, { theme, setting: leadingComparedSetting(compared)!, names })),
};

/** Without a base valve, the ceiling near what was measured. */
const ceiled: JudgedResult = {
  ...failing,
  points: failing.points.map((p) => (p.side === 'compression' ? { ...p, ceiling: 2200 + 50 * p.velocity } : p)),
};
drawn['force under a ceiling'] = mustDraw(forceVelocity(ceiled, { theme }));

describe('every chart', () => {
  for (const [name, spec] of Object.entries(drawn)) {
    it(`${name}: fits Vega-Lite's schema and compiles without a warning`, () => {
      expect(faultsOf(spec)).toEqual([]);
    });
    it(`${name}: names its axes with units, carries its rows and loads nothing`, () => {
      const titles = partsOf(spec)
        .map((part) =>
          typeof part['axis'] === 'object' && part['axis'] !== null
            ? (part['axis'] as { title?: unknown }).title
            : null,
        )
        .filter((title) => typeof title === 'string' || Array.isArray(title))
        .map((title) => (Array.isArray(title) ? title.join(' ') : title));
      expect(titles.length).toBeGreaterThan(0);
      for (const title of titles) expect(title).toMatch(/\[(mm|mm\/s|N|1)\]|drift \/ tolerance/);
      expect(partsOf(spec).filter((part) => 'url' in part || 'href' in part)).toEqual([]);
    });
    it(`${name}: has expressions of our own only`, () => {
      for (const expression of expressionsOf(spec)) expect(expression).toMatch(/^datum\.label === '[a-z ]+'$/);
    });
  }
});

describe('drift over tolerance', () => {
  const rows = rowsOf(drawn['drift, failing']!).filter((row) => 'drift' in row);

  it('has the band at -1 and 1 on both sides', () => {
    const limits = rowsOf(drawn['drift, failing']!).filter((row) => 'limit' in row);
    expect(limits.map((row) => row['limit'])).toEqual([-1, 1, -1, 1]);
  });

  it('draws a point a measured point of the leading setting, harder upwards, with its uncertainty', () => {
    const worst = failing.points[failing.worst!]!;
    expect(rows.filter((row) => row['velocity'] === 300 && row['drift'] === -1.34).length).toBeGreaterThan(0);
    expect(worst.direction).toBe('softer');
    for (const row of rows) {
      expect(Number(row['high']) - Number(row['drift'])).toBeCloseTo(0.12, 5);
      expect(Number(row['drift']) - Number(row['low'])).toBeCloseTo(0.12, 5);
    }
  });

  it('marks points by shape: undecided ones are not those inside', () => {
    const states = rowsOf(drawn['drift, undecided']!)
      .filter((row) => 'drift' in row)
      .map((row) => row['state']);
    expect(states.filter((state) => state === 'undecided').length).toBe(
      undecided.points.filter((p) => p.verdict === 'undecided').length,
    );
    const scale = partsOf(drawn['drift, undecided']!).find((part) => part['field'] === 'state' && 'scale' in part)?.[
      'scale'
    ] as { domain: string[]; range: string[] };
    expect(scale.domain).toEqual(['inside tolerance', 'undecided']);
    expect(new Set(scale.range).size).toBe(2);
  });

  it('shows points outside at settings that are not drawn', () => {
    const marked = failing.points.filter((p) => p.verdict === 'fail').length;
    expect(rows.filter((row) => row['state'] === 'outside tolerance').length).toBe(marked);
  });

  it('keeps a gross point inside the axis and the rest readable', () => {
    const gross = inventedResult({ serial: 'X', drift: (side, v) => (side === 'rebound' && v > 1.45 ? -40 : 0.3) });
    const spec = mustDraw(driftOverTolerance(gross, { theme }));
    expect(Math.min(...rowsOf(spec).flatMap((row) => ('drift' in row ? [Number(row['drift'])] : [])))).toBe(-6);
  });

  it('is absent where nothing is judged', () => {
    expect(driftOverTolerance(unreferenced, { theme })).toBeUndefined();
    expect(driftOverTolerance({ ...passing, points: [] }, { theme })).toBeUndefined();
  });
});

describe('force over velocity', () => {
  it('has compression above the axis and rebound below it', () => {
    const values = partsOf(drawn['force']!).flatMap((part) =>
      Array.isArray(part['values']) ? [part['values'] as Record<string, number>[]] : [],
    );
    const curves = values.filter((rows) => rows.some((row) => 'state' in row));
    expect(curves.some((rows) => rows.every((row) => row['force']! > 0 && row['velocity']! > 0))).toBe(true);
    expect(curves.some((rows) => rows.every((row) => row['force']! < 0 && row['velocity']! > 0))).toBe(true);
  });

  it('puts rebound to the left where velocity is signed', () => {
    const rows = rowsOf(drawn['force, signed, load cell']!).filter((row) => 'state' in row);
    expect(rows.filter((row) => Number(row['velocity']) < 0).length).toBe(rows.length / 2);
  });

  it('draws the band from the limits of each direction where the point carries them', () => {
    const first = passing.points[0]!;
    const zoned: JudgedResult = {
      ...passing,
      points: passing.points.map((p) => ({ ...p, zone: { harder: 10, softer: 30 } })),
    };
    const row = rowsOf(mustDraw(forceVelocity(zoned, { theme }))).find(
      (r) => r['velocity'] === 5.005 && Number(r['force']) > 0,
    )!;
    expect(Number(row['harder'])).toBeCloseTo(first.reference! + 10, 3);
    expect(Number(row['softer'])).toBeCloseTo(first.reference! - 30, 3);
    const rebound = rowsOf(mustDraw(forceVelocity(zoned, { theme }))).find(
      (r) => r['velocity'] === 5.005 && Number(r['force']) < 0,
    )!;
    expect(Number(rebound['harder'])).toBeLessThan(Number(rebound['softer']));
  });

  it('draws load cell forces with the constant force in them, the reference shifted alike', () => {
    const point = passing.points[10]!;
    const row = rowsOf(mustDraw(forceVelocity(passing, { theme, force: 'load cell' }))).find(
      (r) => Number(r['velocity']) === Number((point.achieved * 1000).toPrecision(6)),
    )!;
    expect(Number(row['force'])).toBeCloseTo(point.force, 2);
    expect(Number(row['reference'])).toBeCloseTo(point.reference! + 375, 2);
  });
});

describe('loops', () => {
  it('takes the slowest, the middle and the fastest step', () => {
    expect(loops.map((loop) => Math.round(loop.speed * 1000))).toEqual([5, 601, 1501]);
    expect(chosenLoops(gasLow.analysis!.loops.slice(0, 1)).length).toBe(1);
    expect(chosenLoops([])).toEqual([]);
  });

  it('keeps the order of the samples and closes the loop', () => {
    const marks = partsOf(drawn['loops']!).filter((part) => part['type'] === 'line' && 'order' in part);
    expect(marks.map((mark) => mark['order'])).toEqual([null]);
    const rows = rowsOf(drawn['loops']!).filter((row) => row['step'] === '600 mm/s');
    expect(rows.length).toBe(129);
    expect(rows.at(-1)).toEqual(rows[0]);
    const xs = rows.map((row) => Number(row['displacement']));
    expect(xs.some((x, i) => i > 0 && x < xs[i - 1]!)).toBe(true);
  });
});

describe('a comparison', () => {
  it('has both curves and their difference, harder upwards', () => {
    const rows = rowsOf(drawn['overlay']!).filter((row) => 'run' in row);
    expect(new Set(rows.map((row) => row['run']))).toEqual(new Set(names));
    const softer = compared.points.find((p) => p.side === 'rebound' && p.velocity === 0.3)!;
    expect(softer.direction).toBe('softer');
    const row = rowsOf(drawn['difference']!).find(
      (r) => 'difference' in r && r['velocity'] === 300 && r['state'] === 'more than cycle scatter',
    )!;
    expect(Number(row['difference'])).toBeCloseTo(-Math.abs(softer.difference), 3);
  });
});

describe('ticks', () => {
  it('keeps those apart that would overlap, the largest first', () => {
    expect(ticksThatFit([5, 10, 100, 105, 200], (v) => v, 30)).toEqual([10, 105, 200]);
  });
});

/** Compiling takes a while: every fourth text unless the thorough tests run. */
const hostile = HOSTILE.filter((_, i) => i % 4 === 0 || thorough);

describe('text from files', () => {
  it('stays in values: no chart of a hostile unit has another expression or another structure', () => {
    for (const text of hostile) {
      const unit = inventedResult({
        serial: text,
        settings: [Object.fromEntries([[text, 1]]), Object.fromEntries([[text, 2]]), Object.fromEntries([[text, 3]])],
        drift: () => 0.2,
        velocities: [0.1, 0.2, 0.3],
      });
      for (const spec of [
        driftOverTolerance(unit, { theme }),
        forceVelocity(unit, { theme, others: true }),
        loopsChart(chosenLoops(unit.analysis!.loops), { theme, names: [text, `${text}2`, `${text}3`] }),
      ]) {
        expect(faultsOf(mustDraw(spec))).toEqual([]);
        for (const expression of expressionsOf(mustDraw(spec)))
          expect(expression).toMatch(/^datum\.label === '[a-z ]+'$/);
      }
    }
  });
});

describe('the cavitation ceiling', () => {
  const named = (spec: ChartSpec): boolean => JSON.stringify(spec).includes('cavitation ceiling');
  const withCeiling = (ceiling: number): JudgedResult => ({
    ...failing,
    points: failing.points.map((p) => (p.side === 'compression' ? { ...p, ceiling } : p)),
  });

  it('is drawn over compression at what gas pressure holds, as damping or as what the load cell would read', () => {
    const row = (spec: ChartSpec) => rowsOf(spec).find((r) => r['force'] === 2000 || r['force'] === 2375);
    expect(row(mustDraw(forceVelocity(withCeiling(2000), { theme })))).toMatchObject({ velocity: 5.005, force: 2000 });
    const cell = mustDraw(forceVelocity(withCeiling(2000), { theme, force: 'load cell' }));
    expect(row(cell)).toMatchObject({ force: 2375 });
    expect(named(cell)).toBe(true);
  });

  it('is left out where it is not known, or so far above that the curves would be pressed together', () => {
    const shown = failing.points.filter(
      (p) =>
        p.side === 'compression' &&
        JSON.stringify(p.setting) === JSON.stringify(failing.points[failing.worst!]!.setting),
    );
    const largest = Math.max(...shown.map((p) => p.damping!));
    expect(named(mustDraw(forceVelocity(failing, { theme })))).toBe(false);
    expect(named(mustDraw(forceVelocity(withCeiling(1.9 * largest), { theme })))).toBe(true);
    expect(named(mustDraw(forceVelocity(withCeiling(2.1 * largest), { theme })))).toBe(false);
  });
});
