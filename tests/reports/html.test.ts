import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { renderComparisonHtml } from '../../src/reports/comparisonHtml';
import { renderHtml } from '../../src/reports/html';
import { STYLESHEET, STYLESHEET_HASH } from '../../src/reports/html/stylesheet';
import { spellHidden } from '../../src/text/visible';
import { HOSTILE } from '../text/hostileText';
import { compared } from './fixtures/comparisons';
import { hostileComparison, hostileOutcome } from './fixtures/hostileOutcome';
import { failing, gasLow, outcomeOf, passing, unreadable, workshop } from './fixtures/outcomes';
import { elementsOf, unwelcomeIn } from './htmlElements';
import { thorough } from '../thorough';

const made = { generated: '2026-03-15T08:30:00Z' };
const whole = await renderHtml(workshop, made);
const elements = elementsOf(whole);
const named = (name: string): typeof elements => elements.filter((element) => element.name === name);

describe('the page', () => {
  it('allows nothing but its own style sheet, whose hash is that of the text', () => {
    expect(STYLESHEET_HASH).toBe(`sha256-${createHash('sha256').update(STYLESHEET).digest('base64')}`);
    const policy = named('meta')
      .find((m) => m.attributes.get('http-equiv') === 'Content-Security-Policy')
      ?.attributes.get('content');
    expect(policy).toBe(`default-src 'none'; style-src '${STYLESHEET_HASH}'; base-uri 'none'; form-action 'none'`);
    expect(named('style').map((s) => s.text)).toEqual([STYLESHEET]);
    expect(STYLESHEET).not.toMatch(/url\(|@import|<\//);
    expect(unwelcomeIn(whole)).toEqual([]);
  });

  it('is the same bytes for the same outcome', async () => {
    expect(await renderHtml(workshop, made)).toBe(whole);
  });

  it('has ids that occur once, and every reference to one finds it', () => {
    const ids = elements.flatMap((e) => e.attributes.get('id') ?? []);
    expect(new Set(ids).size).toBe(ids.length);
    const asked = elements
      .flatMap((e) => [
        ...(e.attributes.get('aria-labelledby') ?? '').split(' '),
        (e.attributes.get('href') ?? '').replace('#', ''),
      ])
      .filter((id) => id !== '');
    expect(asked.filter((id) => !ids.includes(id))).toEqual([]);
  });

  it('steps headings by one and scopes every table head', () => {
    const levels = elements.filter((e) => /^h[1-6]$/.test(e.name)).map((e) => Number(e.name.slice(1)));
    expect(levels[0]).toBe(1);
    levels.forEach((level, i) => {
      if (i > 0) expect(level - levels[i - 1]!).toBeLessThanOrEqual(1);
    });
    for (const head of named('th')) expect(['col', 'row', 'colgroup']).toContain(head.attributes.get('scope'));
    for (const drawing of named('svg')) expect(drawing.attributes.get('role')).toBe('img');
    expect(named('svg').length).toBeGreaterThan(12);
    expect(named('html')[0]?.attributes.get('lang')).toBe('en');
  });

  it('folds away further findings of files, the worst first', async () => {
    const many = Array.from({ length: 30 }, (_, i) => ({ ...unreadable, file: `logs/${i}.testlog.csv` }));
    const page = await renderHtml(outcomeOf([passing], many), made);
    const files = page.slice(page.indexOf('<h2>Files</h2>'), page.indexOf('<main'));
    expect(files.slice(0, files.indexOf('<details>')).match(/logs\/\d+/gu)?.length).toBe(20);
    expect(files).toContain('<summary>10 more findings of files</summary>');
    expect(files.match(/logs\/\d+/gu)?.length).toBe(30);
    expect(whole.slice(whole.indexOf('<h2>Files</h2>'), whole.indexOf('<main'))).not.toContain('<details>');
  });

  it('of very many results has sheets of the first, and says where those of the others are', async () => {
    const short = await renderHtml(workshop, { ...made, mostSheets: 2 });
    const parts = elementsOf(short);
    const ids = parts.flatMap((e) => e.attributes.get('id') ?? []);
    expect(ids.filter((id) => /^r\d+$/u.test(id))).toEqual(['r1', 'r2']);
    const rows = parts.filter((e) => e.name === 'tr' && e.text.includes('build')).slice(0, workshop.results.length);
    expect(rows.length).toBe(workshop.results.length);
    const asked = parts.flatMap((e) => e.attributes.get('href') ?? []).filter((href) => /^#r\d+$/u.test(href));
    expect(asked).toEqual(['#r1', '#r2']);
    expect(short).toMatch(/3 results more, the last of the overview, stand in it alone/u);
    expect(whole).not.toContain('stand in it alone');
  });

  it('begins with the overview, failures first, each row leading to its sheet', () => {
    const rows = named('tr')
      .filter((row) => row.text.includes('build'))
      .slice(0, 5)
      .map((row) => row.text.replace(/\s+/g, ' '));
    expect(rows.map((row) => /(FAIL|UNDECIDED|PASS)/.exec(row)?.[0])).toEqual([
      'FAIL',
      'FAIL',
      'UNDECIDED',
      'UNDECIDED',
      'PASS',
    ]);
    expect(rows[0]).toContain('-134');
    expect(named('a').filter((a) => /^#r\d$/.test(a.attributes.get('href') ?? '')).length).toBe(5);
  });

  it('leaves the overview out where there is one result, and is named after it', async () => {
    const one = await renderHtml(outcomeOf([passing]), made);
    expect(elementsOf(one).find((e) => e.name === 'title')?.text).toBe('F-001 build 1: damper review');
    expect(one).not.toContain('All results, failures');
  });

  it('has for each result, in this order: verdict, what to do, drift, force, loops, findings, points', () => {
    const sheet = whole.slice(whole.indexOf('id="r1"'), whole.indexOf('id="r2"'));
    const order = [
      '134 % of tolerance, rebound 300 to 500 mm/s, softer, at R 6',
      'What to do',
      'Drift over tolerance of F-017',
      'Force over velocity of F-017',
      'Force over displacement of F-017',
      '<h3>Findings',
      '<h3>Points',
      'How it was tested and judged',
      'Released or rejected by',
    ].map((part) => sheet.indexOf(part));
    expect(order).not.toContain(-1);
    expect([...order].sort((a, b) => a - b)).toEqual(order);
  });

  it('says beside a pass what it does not cover, and cautions at the end', async () => {
    const sheet = whole.slice(whole.indexOf('id="r5"'));
    expect(sheet).toContain(
      'A pass concerns the measured curves alone: rod, mounts, welds, seals and gas retention were not examined.',
    );
    for (const word of ['nitrogen only', 'guards shut', 'pierces skin', 'same settings left and right', 'local codes'])
      expect(whole).toContain(word);
    const failed = await renderHtml(outcomeOf([failing]), made);
    expect(failed.split('A pass concerns').length).toBe(2); // the cautions at the end alone
  });

  it('folds settings away and says how many loops are not drawn', () => {
    const details = named('details').map((d) => d.text);
    expect(
      details.some(
        (text) => text.startsWith('\nEvery setting in one chart') || text.includes('Every setting in one chart'),
      ),
    ).toBe(true);
    expect(
      details.some((text) => text.includes('Loops of 4 more settings') && text.includes('4 settings not drawn')),
    ).toBe(true);
    expect(details.some((text) => text.includes('8 more settings'))).toBe(true);
  });

  it('marks a void where it lies', async () => {
    expect(await renderHtml(outcomeOf([gasLow]), made)).toContain('no damping over 2.4 mm, rebound');
  });

  it('stays small: a result without a sweep under 70 kB', async () => {
    expect((await renderHtml(outcomeOf([passing]), made)).length).toBeLessThan(70_000);
  });
});

describe('the page of a comparison', () => {
  it('has statement, both runs, what changed in the spec, charts and figures', async () => {
    const page = await renderComparisonHtml(compared, made);
    expect(unwelcomeIn(page)).toEqual([]);
    for (const part of [
      compared.statement,
      'rebound 1.3 % softer',
      'tolerance.rebound.softer.relative',
      'A: F-017/1',
      'more than cycle scatter',
      '+52.9 *',
    ])
      expect(page).toContain(part);
  });
});

describe('hostile text', () => {
  it('adds no element, attribute or hidden character anywhere', async () => {
    const texts = HOSTILE.filter((_, i) => i % 9 === 0 || thorough).concat('__proto__', '<script>alert(1)</script>');
    for (const text of texts) {
      for (const page of [
        await renderHtml(hostileOutcome(text), made),
        await renderComparisonHtml(hostileComparison(text), made),
      ]) {
        expect(unwelcomeIn(page)).toEqual([]);
        expect(spellHidden(page.replaceAll('\n', ''))).toBe(page.replaceAll('\n', ''));
        if (text.trim() !== '')
          expect(elementsOf(page).some((e) => e.text.includes(spellHidden(text).trim()))).toBe(true);
      }
    }
  });
});
