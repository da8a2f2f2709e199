import MarkdownIt from 'markdown-it';
import { describe, expect, it } from 'vitest';
import { renderComparisonMarkdown } from '../../src/reports/comparisonMarkdown';
import { renderMarkdown } from '../../src/reports/markdown';
import { HOSTILE } from '../text/hostileText';
import { compared } from './fixtures/comparisons';
import { hostileComparison, hostileOutcome } from './fixtures/hostileOutcome';
import { failing, outcomeOf, passing, workshop } from './fixtures/outcomes';
import { elementsOf, unwelcomeIn } from './htmlElements';

const markdown = new MarkdownIt({ html: true, linkify: true });
markdown.linkify.set({ fuzzyLink: false });
const text = renderMarkdown(workshop);

describe('a pull-request comment', () => {
  it('is short first: verdict, count and a row a result; details folded, failures first', () => {
    const shown = text.slice(0, text.indexOf('<details>'));
    expect(shown.startsWith('### Damper review: FAIL\n\n5 results: 2 fail, 2 undecided, 1 pass.')).toBe(true);
    expect(shown).toContain(
      '| **FAIL** | `F-017 build 2` | 134 % of tolerance, rebound 300 to 500 mm/s, softer, at R 6 (second test of this build) | 1 error, 1 warning, 1 waived |',
    );
    expect(shown).not.toContain('Uncertainty is at most');
    const order = [
      '<summary>1 pass',
      '<code>F-017 build 2</code> FAIL',
      '<code>F-003 build 1</code> FAIL',
      '<code>F-004 build 1</code> UNDECIDED',
    ].map((part) => text.indexOf(part));
    expect(order).not.toContain(-1);
    expect([...order].sort((a, b) => a - b)).toEqual(order);
  });

  it('renders as tables, lists and folded parts', () => {
    const names = elementsOf(markdown.render(text)).map((e) => e.name);
    expect(names.filter((name) => name === 'details').length).toBe(5);
    expect(names.filter((name) => name === 'table').length).toBe(5);
    expect(names.filter((name) => name === 'h3').length).toBe(1);
  });

  it('leaves details out from the end where the host would refuse it, and says so', () => {
    const many = outcomeOf(Array.from({ length: 40 }, (_, i) => ({ ...failing, serial: `F-${100 + i}` })));
    const short = renderMarkdown(many);
    expect(short.length).toBeLessThanOrEqual(60_000);
    expect(short).toMatch(/\d+ results more in the full report/);
    expect(short).toContain('<code>F-100 build 2</code>');
    const crowd = outcomeOf(Array.from({ length: 2000 }, (_, i) => ({ ...passing, serial: `F-${i}` })));
    expect(renderMarkdown(crowd).length).toBeLessThan(60_000);
    expect(renderMarkdown(crowd)).toContain('1940 more in the full report');
  });

  it('has the pass caution where something passed', () => {
    expect(text).toContain('A pass concerns the measured curves alone');
    expect(renderMarkdown(outcomeOf([failing]))).not.toContain('A pass concerns');
  });
});

describe('a comparison as markdown', () => {
  it('says what may be said first and folds the figures', () => {
    const said = renderComparisonMarkdown(compared);
    expect(said.indexOf('Rebound differs')).toBeLessThan(said.indexOf('<details>'));
    expect(said).toContain('| 300 | 870.8 | 870.8 | 0.0 | 0.0 | -1002.2 | -949.3 | +52.9 \\* | -5.3 |');
    expect(elementsOf(markdown.render(said)).filter((e) => e.name === 'table').length).toBe(2);
  });
});

describe('hostile text', () => {
  const welcome = [
    'h3',
    'p',
    'table',
    'thead',
    'tbody',
    'tr',
    'th',
    'td',
    'ul',
    'li',
    'details',
    'summary',
    'code',
    'strong',
    'em',
    'br',
  ];
  it('adds no element, link or mention', () => {
    for (const hostile of HOSTILE)
      for (const said of [
        renderMarkdown(hostileOutcome(hostile)),
        renderComparisonMarkdown(hostileComparison(hostile)),
      ]) {
        const html = markdown.render(said);
        // Aligned columns are markdown-it's own style attribute.
        expect(unwelcomeIn(html).filter((what) => !/^t[hd] style$/.test(what))).toEqual([]);
        const seen = elementsOf(html);
        expect(seen.map((e) => e.name).filter((name) => !welcome.includes(name))).toEqual([]);
      }
  });
});
