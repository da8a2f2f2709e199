import { parseFragment } from 'parse5';
import { describe, expect, it } from 'vitest';
import { parse, resetSVGDefIds, View } from 'vega';
import { expressionInterpreter } from 'vega-interpreter';
import { compile, type TopLevelSpec } from 'vega-lite';
import { validateXML } from 'xmllint-wasm';
import type { ChartSpec } from '../../src/charts/chartSpec';
import { driftOverTolerance } from '../../src/charts/driftOverTolerance';
import { forceVelocity } from '../../src/charts/forceVelocity';
import { chosenLoops, loopsChart } from '../../src/charts/loops';
import { LIGHT, propertyTheme } from '../../src/charts/theme';
import { outlineOf } from '../../src/reports/chartOutline';
import { renderSvg } from '../../src/reports/svg';
import { slimSvg } from '../../src/reports/slimSvg';
import { HOSTILE } from '../text/hostileText';
import type { JudgedResult } from '../../src/review/judgedResult';
import { spellHidden } from '../../src/text/visible';
import { failing, gasLow } from './fixtures/outcomes';
import { elementsOf, unwelcomeIn } from './htmlElements';

const drift = driftOverTolerance(failing, { theme: propertyTheme() })!;
const words = { title: 'Drift over tolerance', description: 'Numbers in the table below.' };
const loops = chosenLoops(gasLow.analysis!.loops);

/** The chart with its rows in it, as Vega takes it: what `renderSvg` must draw, but for the title. */
async function wholeSvg(chart: ChartSpec): Promise<string> {
  const { spec } = compile(chart as unknown as TopLevelSpec);
  resetSVGDefIds();
  const view = new View(parse(spec, undefined, { ast: true }), { renderer: 'none', expr: expressionInterpreter });
  return bare(slimSvg(await view.toSVG(), 'c'));
}

function bare(svg: string): string {
  return svg.replace(/^<svg[^>]*>(?:<title.*<\/desc>)?/, '<svg>');
}

describe('drawing a chart', () => {
  it('gives the same bytes each time, and ids of its own', async () => {
    const [a, again, other] = [
      await renderSvg(drift, { id: 'one', ...words }),
      await renderSvg(drift, { id: 'one', ...words }),
      await renderSvg(drift, { id: 'two', ...words }),
    ];
    expect(again).toBe(a);
    expect(other.replaceAll('two-', 'one-')).toBe(a);
    const ids = [...`${a}${other}`.matchAll(/\sid="([^"]*)"/g)].map((m) => m[1]!);
    expect(new Set(ids).size).toBe(ids.length);
  });

  it('draws what Vega makes of the whole chart, whatever rows were drawn before', async () => {
    // Where the worst point stands the axes are the same.
    const points = failing.points.map((p) => ({
      ...p,
      ...(p.damping !== undefined && { damping: p.damping * 0.98 }),
      ...(p.share !== undefined && p.share < 1 && { share: p.share / 2 }),
    }));
    const other = { ...failing, points };
    for (const chartOf of [
      (r: JudgedResult) => forceVelocity(r, { theme: LIGHT, others: true })!,
      (r: JudgedResult) => driftOverTolerance(r, { theme: LIGHT })!,
    ]) {
      const [whole, wholeOther] = [await wholeSvg(chartOf(failing)), await wholeSvg(chartOf(other))];
      expect(wholeOther).not.toBe(whole);
      expect(outlineOf(chartOf(other)).key).toBe(outlineOf(chartOf(failing)).key);
      for (const [result, expected] of [
        [failing, whole],
        [other, wholeOther],
        [failing, whole],
      ] as const)
        expect(bare(await renderSvg(chartOf(result), { id: 'c', ...words }))).toBe(expected);
    }
    const chart = loopsChart(loops, { theme: LIGHT, names: ['a', 'b', 'c'] })!;
    expect(bare(await renderSvg(chart, { id: 'c', ...words }))).toBe(await wholeSvg(chart));
  });

  it('is well-formed and needs neither style, script, link nor picture', async () => {
    for (const spec of [
      drift,
      forceVelocity(failing, { theme: LIGHT, others: true })!,
      loopsChart(loops, { theme: LIGHT, names: ['a', 'b', 'c'] })!,
    ]) {
      const svg = await renderSvg(spec, { id: 'c', ...words });
      const schema =
        '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/2000/svg"><xs:element name="svg"><xs:complexType><xs:sequence><xs:any processContents="skip" maxOccurs="unbounded"/></xs:sequence><xs:anyAttribute processContents="skip"/></xs:complexType></xs:element></xs:schema>';
      expect((await validateXML({ xml: { fileName: 'c.svg', contents: svg }, schema })).errors).toEqual([]);
      expect(svg).not.toMatch(/<(script|image|a|foreignObject|style)\b|\sstyle=|\son\w+=|href=/);
      expect(svg).toMatch(
        /^<svg [^>]*role="img" aria-labelledby="c-t c-d"><title id="c-t">Drift over tolerance<\/title><desc id="c-d">/,
      );
      expect(svg).toContain('font-family="sans-serif"');
    }
  });

  it('keeps the colours that the page decides', async () => {
    expect(await renderSvg(drift, { id: 'c', ...words })).toContain('stroke="var(--chart-rebound)"');
  });

  it('draws a marker a row and the band', async () => {
    const svg = await renderSvg(
      driftOverTolerance({ ...failing, points: failing.points.slice(0, 36) }, { theme: LIGHT })!,
      { id: 'c', ...words },
    );
    expect(svg.split(LIGHT.band).length - 1).toBe(2);
    const discs = (colour: string): number =>
      [...svg.matchAll(new RegExp(`<g fill="${colour}" stroke="${colour}"[^>]*>(.*?)</g>`, 'g'))].flatMap(
        (g) => g[1]!.match(/<path/g) ?? [],
      ).length;
    expect(discs(LIGHT.compression)).toBe(18);
    expect(discs(LIGHT.rebound)).toBe(15);
    expect(svg.match(new RegExp(`<g [^>]*stroke="${LIGHT.fail}"[^>]*>(?:<path[^>]*/>){3}</g>`, 'g'))?.length).toBe(1);
  });

  it('shows hostile names as text', async () => {
    for (const text of HOSTILE.filter((t) => t.trim() !== '')) {
      const svg = await renderSvg(loopsChart(loops.slice(0, 1), { theme: LIGHT, names: [`A: ${text}`] })!, {
        id: 'c',
        title: text,
        description: text,
      });
      const fragment = parseFragment(svg);
      expect(fragment.childNodes.length).toBe(1);
      expect(unwelcomeIn(svg)).toEqual([]);
      // A long name is cut by the legend, with an ellipsis.
      const shown = elementsOf(svg)
        .filter((e) => e.name === 'text')
        .map((e) => e.text.replace(/…$/, ''));
      expect(shown.some((t) => t.startsWith('A: ') && spellHidden(`A: ${text}`).startsWith(t.trim()))).toBe(true);
      expect(spellHidden(svg)).toBe(svg);
    }
  });

  it('refuses a chart that is wrong instead of drawing half of it', async () => {
    await expect(
      renderSvg({ mark: 'line', encoding: { nowhere: { field: 'x' } } }, { id: 'c', ...words }),
    ).rejects.toThrow();
    await expect(renderSvg(drift, { id: '"><b>', ...words })).rejects.toThrow('not an id');
  });

  it('fetches nothing', async () => {
    await expect(
      renderSvg({ data: { url: 'https://host.invalid/x.json' }, mark: 'point', encoding: {} }, { id: 'c', ...words }),
    ).rejects.toThrow('loads nothing');
  });
});

describe('slimming', () => {
  const plain = (inner: string): string => `<svg class="marks" width="10.123456">${inner}</svg>`;
  const slim = (inner: string): string => slimSvg(plain(inner), 'a').replace(/^<svg[^>]*>|<\/svg>$/g, '');

  it('keeps what is drawn and drops the rest', () => {
    expect(
      slim(
        '<g><g transform="translate(0,0)"><path d="M0,0h1.00001" fill="none"/><g class="x"/><path d="M0,0L1.23456,2" stroke="red" style="x"/></g></g>',
      ),
    ).toBe('<path stroke="red" d="M0,0L1.23,2"/>');
    expect(slim('<text opacity="0">no</text><text opacity="1">yes</text>')).toBe('<text>yes</text>');
    expect(
      slim('<defs><clipPath id="clip1"/></defs><g clip-path="url(#clip1)"><path d="M0,0h1" fill="red"/></g>'),
    ).toBe('<defs><clipPath id="a-clip1"/></defs><g clip-path="url(#a-clip1)"><path fill="red" d="M0,0h1"/></g>');
  });

  it('draws lines of one paint as one path, and says a shared paint once', () => {
    const line = (x: number, stroke: string): string =>
      `<line transform="translate(${x},-5)" x2="0" y2="95" stroke="${stroke}" stroke-width="1"/>`;
    expect(slim(line(1, 'red') + line(2, 'red') + line(3, 'blue'))).toBe(
      '<path stroke="red" stroke-width="1" d="M1,-5l0,95M2,-5l0,95"/><path stroke="blue" stroke-width="1" d="M3,-5l0,95"/>',
    );
    const dot = (x: number): string =>
      `<path transform="translate(${x},1)" d="M1,0A1,1,0,1,1,-1,0" fill="red" stroke="red"/>`;
    expect(slim(dot(1) + dot(2) + dot(3))).toBe(
      '<g fill="red" stroke="red"><path transform="translate(1,1)" d="M1,0A1,1,0,1,1,-1,0"/><path transform="translate(2,1)" d="M1,0A1,1,0,1,1,-1,0"/><path transform="translate(3,1)" d="M1,0A1,1,0,1,1,-1,0"/></g>',
    );
  });
});
