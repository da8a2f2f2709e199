import { compile } from 'vega-lite';
import { parse, View } from 'vega';
import { describe, expect, it } from 'vitest';
import type { ChartSpec } from '../../src/charts/chartSpec';
import { comparisonDifference, comparisonOverlay, leadingComparedSetting } from '../../src/charts/comparisonCharts';
import { driftOverTolerance } from '../../src/charts/driftOverTolerance';
import { forceVelocity } from '../../src/charts/forceVelocity';
import { chosenLoops, loopsChart } from '../../src/charts/loops';
import { narrowChart } from '../../src/charts/narrowChart';
import { LIGHT } from '../../src/charts/theme';
import { compared } from '../reports/fixtures/comparisons';
import { failing, gasLow } from '../reports/fixtures/outcomes';
import { faultsOf, partsOf, rowsOf } from './vegaLiteCheck';

/** Room beside a text in a panel of 400 pixels, as the server gives it to charts (src/server/views/chartRoom.ts). */
const PLOT = 222;
const look = { theme: LIGHT, width: PLOT };
const setting = leadingComparedSetting(compared)!;
const names: readonly [string, string] = ['A: F-017 build 1', 'B: F-017 build 2'];
const made: Readonly<Record<string, ChartSpec | undefined>> = {
  drift: driftOverTolerance(failing, look),
  force: forceVelocity(failing, look),
  loops: loopsChart(chosenLoops(gasLow.analysis!.loops), { ...look, names: ['5 mm/s', '600 mm/s', '1500 mm/s'] }),
  overlay: comparisonOverlay(compared, { ...look, setting, names }),
  difference: comparisonDifference(compared, { ...look, setting, names }),
};

/** Sizes of the texts as drawn. How wide they are only a browser knows: tests/editor/narrow.test.ts measures that. */
async function fontsOf(spec: ChartSpec): Promise<number[]> {
  const compiled = compile(spec as unknown as Parameters<typeof compile>[0]).spec;
  const svg = await new View(parse(compiled), { renderer: 'none' }).toSVG();
  return [...svg.matchAll(/font-size="([\d.]+)(?:px)?"/g)].map(([, size]) => Number(size));
}

describe('a chart for little room', () => {
  it.each(Object.keys(made))('%s: has no text below 11 pixels and the same rows', async (name) => {
    const wide = made[name]!;
    const narrow = narrowChart(wide, PLOT);
    expect(faultsOf(narrow)).toEqual([]);
    const fonts = await fontsOf(narrow);
    expect(fonts.length).toBeGreaterThan(0);
    expect(Math.min(...fonts)).toBeGreaterThanOrEqual(11);
    expect(rowsOf(narrow)).toEqual(rowsOf(wide));
  });

  it('breaks a long title of the lower axis behind its comma, has fewer labels and the legend one below the other', () => {
    const { config, ...parts } = narrowChart(made['loops']!, PLOT);
    const axes = partsOf(parts).flatMap((part) => ('axis' in part ? [part['axis']] : []));
    expect(axes).toContainEqual({
      title: ['displacement from mid-stroke [mm],', 'compression positive'],
      grid: true,
      tickCount: 5,
    });
    expect(config).toMatchObject({ legend: { columns: 1, direction: 'vertical', labelLimit: PLOT + 90 } });
    const title = partsOf(narrowChart(made['force']!, PLOT)).flatMap((part) =>
      'title' in part ? [part['title']] : [],
    );
    expect(title).toContain('peak velocity [mm/s]'); // fits
  });

  it('lifts small text to 11 pixels and leaves larger text alone', () => {
    const spec = { mark: { type: 'text', fontSize: 9 }, title: { text: 'a', fontSize: 14 }, config: {} };
    expect(narrowChart(spec, PLOT)).toMatchObject({ mark: { fontSize: 11 }, title: { fontSize: 14 } });
  });
});
