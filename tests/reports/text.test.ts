import { describe, expect, it } from 'vitest';
import { renderComparisonText } from '../../src/reports/comparisonText';
import { renderText } from '../../src/reports/text';
import { HOSTILE } from '../text/hostileText';
import { compared } from './fixtures/comparisons';
import { hostileComparison, hostileOutcome } from './fixtures/hostileOutcome';
import { failing, outcomeOf, passing, scrutineered, undecided, unreadable, workshop } from './fixtures/outcomes';

const plain = { colour: false, width: 100 };
const text = renderText(workshop, plain);
const lines = text.split('\n');
/** Without the line breaks that the width makes. */
const unbroken = text.replace(/\s+/g, ' ');
const at = (start: string): number => lines.findIndex((line) => line.startsWith(start));

describe('the outcome on a terminal', () => {
  it('lists twenty findings of files, and all that are errors: the count of the others stands for them', () => {
    const many = (level: 'error' | 'warning') =>
      Array.from({ length: 30 }, (_, i) => ({ ...unreadable, level, file: `logs/${level}-${i}.testlog.csv` }));
    const listed = (...findings: readonly (typeof unreadable)[][]) =>
      renderText(outcomeOf([passing], findings.flat()), plain).replace(/\s+/g, ' ');
    const warned = listed(many('warning'));
    expect(warned.match(/logs\/warning-/gu)?.length).toBe(20);
    expect(warned).toContain(
      `10 more findings of files, none of them an error that counts: 10 ${unreadable.rule}; --format json has all`,
    );
    const both = listed(many('error'), many('warning'));
    expect(both.match(/logs\/error-/gu)?.length).toBe(30);
    expect(both).toContain('30 more findings of files');
    expect(listed(many('warning').slice(0, 20))).not.toContain('of files, none');
  });

  it('tells twenty results in full that have more to say, and every pass with an error; of the others a line', () => {
    const ofMany = (result: typeof failing, count: number, serial: string) =>
      Array.from({ length: count }, (_, i) => ({
        ...result,
        serial: `${serial}${i}`,
        file: `dampers/${serial}/${i}.result.csv`,
      }));
    const noted = {
      ...passing,
      findings: [{ ...failing.findings[0]!, level: 'warning' as const, rule: 'file-invalid' }],
    };
    const wrong = { ...passing, findings: [{ ...failing.findings[0]!, level: 'error' as const, message: 'Wrong.' }] };
    const shown = (...results: readonly (typeof failing)[][]) => renderText(outcomeOf(results.flat()), plain);
    const fails = shown(ofMany(failing, 26, 'F-'), ofMany(noted, 4, 'P-'), ofMany(wrong, 1, 'W-'));
    expect(fails.match(/^F-\d+ build \d+ FAIL/gmu)).toHaveLength(26);
    expect(fails.match(/Percent of tolerance at/gu)).toHaveLength(20);
    expect(fails.match(/PASS/gu)).toHaveLength(5);
    expect(fails.match(/Wrong\./gu)).toHaveLength(1);
    const own = failing.findings.filter(({ rule }) => rule === 'drift-from-reference').length;
    expect(own).toBeGreaterThan(0);
    const flat = fails.replace(/\s+/gu, ' ');
    expect(flat).toContain('The first 20 results that have more to say are told in full.');
    expect(flat).toContain(`${6 * own} drift-from-reference`);
    expect(flat).toContain('4 file-invalid');
    expect(fails).toMatch(/FAIL: .*\n(?:.*\n)? {2}\S+, dampers\/F-\/25\.result\.csv\n\nP-0 build/u);
    // Passes without a finding take no place of others.
    const passes = shown(ofMany(passing, 40, 'P-'), ofMany(noted, 20, 'N-'));
    expect(passes.match(/file-invalid/gu)).toHaveLength(20);
    expect(passes).not.toContain('in full');
  });

  it('tells failures first, then undecided, then passes, then files, then the count', () => {
    const order = [
      at('F-017 build 2 FAIL'),
      at('F-003 build 1 FAIL'),
      at('F-004 build 1 UNDECIDED'),
      at('B-2 build 1 UNDECIDED'),
      at('F-001 build 1 PASS'),
      at('Files'),
      at('FAIL  5 results'),
    ];
    expect(order).not.toContain(-1);
    expect([...order].sort((a, b) => a - b)).toEqual(order);
  });

  it('opens a result with unit, build, verdict and the worst point', () => {
    expect(lines[0]).toBe(
      'F-017 build 2 FAIL: 134 % of tolerance, rebound 300 to 500 mm/s, softer, at R 6 (second test of this',
    );
    expect(lines[1]).toBe('build)');
  });

  it('has the figures of both sides by speed, marks beside those outside or undecided', () => {
    expect(text).toMatch(/ mm\/s .* 300 +400 +500/);
    expect(text).toMatch(/ {2}rebound .* -134! +-124! +-114!/);
    expect(text).toMatch(/ {2}compression .*\+96\? +\+96\? +\+96\?/);
  });

  it('says of each finding what to do next and where it stands', () => {
    expect(unbroken).toContain('Next: Compare the rebound shim stack');
    expect(unbroken).toContain('dampers/F-017/build-2/alder-front.result.csv:12 drift-from-reference');
    expect(unbroken).toContain('waived until 2026-06-30 by workshop lead');
  });

  it('says whether the test decides, what loops and gas show, and why', () => {
    expect(unbroken).toContain(
      'Test Uncertainty is at most 12 % of tolerance. Remounting is not in it. Every measured point is decided.',
    );
    expect(unbroken).toContain(
      'Test Uncertainty is at most 20 % of tolerance, without that of the bench. Remounting is not in it. 3 points of 36 are not decided.',
    );
    expect(unbroken).toContain('Loops 1 finding in 18 loops: no damping after reversal.');
    expect(unbroken).toContain('Gas 250 N at mid-stroke, 375 N expected; friction 24 N');
    expect(unbroken).toContain('Gas not known apart from a constant force of 132 N (needs a creep step)');
    expect(unbroken).toContain('Why no damping after reversal');
  });

  it('counts at the end, with the caution beside every pass', () => {
    expect(text).toContain('FAIL  5 results: 2 fail, 2 undecided, 1 pass. 4 errors, 2 warnings, 1 note, 1 waived.');
    expect(text).toContain('At least one file could not be read');
    expect(text).toContain('A pass concerns the measured curves alone');
    expect(renderText(outcomeOf([failing]), plain)).not.toContain('A pass concerns');
    expect(renderText(outcomeOf([]), plain).replace(/\s+/g, ' ')).toBe(
      'UNDECIDED Nothing was judged: no result (NAME.result.csv) and no test log (NAME.testlog.csv, or mapped in damper-review.yaml) lies there. ',
    );
  });

  it('is compact where everything passes', () => {
    const passed = renderText(outcomeOf([passing, { ...passing, serial: 'F-002' }]), plain);
    expect(passed.trim().split('\n').length).toBe(6);
  });

  it('words an undecided result for scrutineering', () => {
    expect(renderText(outcomeOf([scrutineered]), plain)).toContain('S-9 build 1 NOT SHOWN TO BE OUT');
  });

  it('says how many cycles would settle what is open', () => {
    const points = undecided.points.map((p) => (p.verdict === 'undecided' ? { ...p, cyclesToSettle: 9 } : p));
    const shown = renderText(outcomeOf([{ ...undecided, points }]), plain).replace(/\s+/g, ' ');
    expect(shown).toContain('9 cycles a step would settle all of them.');
  });

  it('keeps to the width, paths apart', () => {
    for (const width of [60, 80, 140])
      for (const line of renderText(workshop, { colour: false, width }).split('\n'))
        if (!line.includes('dampers/')) expect(line.length).toBeLessThanOrEqual(width);
  });

  it('has colour only where asked, and the same words with it', () => {
    expect(text).not.toContain('\u001b');
    const coloured = renderText(workshop, { ...plain, colour: true });
    expect(coloured).toContain('\u001b[1;31m');
    expect(coloured.replace(/\u001b\[[\d;]*m/g, '')).toBe(text); // eslint-disable-line no-control-regex
  });
});

describe('a comparison on a terminal', () => {
  const said = renderComparisonText(compared, plain);
  it('says what may be said first, then what else differs, then figures', () => {
    const order = [
      'F-017/1 against F-017/2',
      'Rebound differs by more',
      'Mean of B against A: compression unchanged, rebound 1.3 % softer',
      'midPosition is not stated',
      'tolerance.rebound.softer.relative: 4 % -> 5 %',
      '  rebound, mm/s',
    ].map((part) => said.indexOf(part));
    expect(order).not.toContain(-1);
    expect([...order].sort((a, b) => a - b)).toEqual(order);
    expect(said).toMatch(/B - A .*\+52\.9 \* /);
  });
});

describe('hostile text', () => {
  it('starts no line of its own and moves nothing', () => {
    for (const hostile of HOSTILE)
      for (const shown of [
        renderText(hostileOutcome(hostile), { colour: true, width: 80 }),
        renderComparisonText(hostileComparison(hostile), { colour: true, width: 80 }),
      ]) {
        const rest = shown.replace(/\u001b\[(?:0|1|2|1;31|1;32|1;33)m/g, ''); // eslint-disable-line no-control-regex
        expect(rest).not.toMatch(/(?!\n)[\p{Cc}\p{Bidi_Control}\p{Zl}\p{Zp}\p{Cs}]/u);
      }
  });
});
