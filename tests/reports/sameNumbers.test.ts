import { describe, expect, it } from 'vitest';
import { renderHtml } from '../../src/reports/html';
import { reviewDocument } from '../../src/reports/json';
import type { PointEntry, ResultEntry } from '../../src/reports/reviewSchema';
import { renderText } from '../../src/reports/text';
import { failing, gasLow, outcomeOf, passing, undecided, unreferenced } from './fixtures/outcomes';
import { elementsOf } from './htmlElements';
import { tablesOf } from './htmlTables';

const outcome = outcomeOf([failing, passing, undecided, gasLow, unreferenced]);
/** As a consumer reads it: the text of the document, parsed. */
const document = JSON.parse(JSON.stringify(reviewDocument(outcome))) as ReturnType<typeof reviewDocument>;
const page = await renderHtml(outcome, { generated: '2026-03-15T08:30:00Z' });
const text = renderText(outcome, { colour: false, width: 400 });

/** A figure of the page to 0.1 N against the document's to 0.01 N, both rounded from the same force: half of each step apart at most. */
function sameForce(shown: string, exact: number | undefined): void {
  if (exact === undefined) expect(shown).toBe('');
  else {
    expect(shown).toMatch(/^[+-]?\d+\.\d$/);
    expect(Math.abs(Number(shown) - exact)).toBeLessThanOrEqual(0.0551);
  }
}
function share(point: PointEntry): string {
  if (point.drift_N === undefined || point.tolerance_N === undefined) return '';
  const whole = Math.round((100 * Math.abs(point.drift_N)) / point.tolerance_N);
  return whole === 0 ? '0' : `${point.direction === 'softer' ? '-' : '+'}${whole}`;
}
function name(point: Pick<PointEntry, 'setting'>): string {
  const parts = Object.entries(point.setting).map(([id, at]) => `${id} ${at}`);
  return parts.length === 0 ? 'Forces in N' : `${parts.join(', ')}, forces in N`;
}
/** A percentage that is made from two rounded forces may miss by one where the force is small. */
function near(shown: string, expected: string): void {
  if (shown === '' || expected === '') expect(shown).toBe(expected);
  else expect(Math.abs(Number(shown) - Number(expected))).toBeLessThanOrEqual(1);
}

function sheetOf(result: ResultEntry): string {
  const index = document.results.indexOf(result) + 1;
  return page.slice(
    page.indexOf(`id="r${index}"`),
    index < document.results.length ? page.indexOf(`id="r${index + 1}"`) : undefined,
  );
}

describe('JSON, page and terminal hold the same numbers', () => {
  for (const result of document.results) {
    it(`${result.serial}: every point of the document stands in the page`, () => {
      const tables = tablesOf(sheetOf(result));
      for (const point of result.points) {
        const table = tables.find((t) => t.caption === name(point))!;
        const row = table.rows.find((r) => r[0] === String(point.velocity_mm_s))!;
        const full = table.columns === 17;
        const cells = point.side === 'compression' ? row.slice(1, full ? 9 : 6) : row.slice(full ? 9 : 6);
        const expected = full
          ? [point.force_N, point.damping_N, point.reference_N, point.drift_N, point.uncertainty_N, point.tolerance_N]
          : [point.damping_N, point.reference_N, point.drift_N];
        expected.forEach((force, i) => {
          sameForce(cells[i]!, force);
        });
        near(cells[expected.length]!, share(point));
        expect(cells.at(-1)).toBe(point.verdict);
      }
      expect(
        tables.flatMap((t) => (t.caption.endsWith('forces in N') || t.caption === 'Forces in N' ? t.rows : [])).length *
          2,
      ).toBe(result.points.length);
    });

    it(`${result.serial}: verdict and worst point`, () => {
      const word = { fail: 'FAIL', undecided: 'UNDECIDED', pass: 'PASS' }[result.verdict];
      const heading = elementsOf(sheetOf(result).slice(sheetOf(result).indexOf('<h2'))).find(
        (e) => e.name === 'h2',
      )!.text;
      const line = text.split('\n').find((l) => l.startsWith(`${result.serial} build ${result.build} `))!;
      expect(heading).toBe(line);
      expect(line).toContain(` ${word}`);
      if (result.worst !== undefined && line.includes('% of tolerance'))
        expect(line).toContain(
          `${Math.round(result.worst.drift_percent_of_tolerance)} % of tolerance, ${result.worst.side}`,
        );
    });

    it(`${result.serial}: gas and friction`, () => {
      const forces =
        result.gas === undefined ? [] : 'force_N' in result.gas ? [result.gas.force_N] : [result.gas.constantForce_N];
      for (const source of [text, elementsOf(page).find((e) => e.name === 'main')!.text])
        for (const force of [...forces, ...(result.friction_N === undefined ? [] : [result.friction_N])])
          expect(source).toContain(`${Math.round(force)} N`);
    });
  }

  it('shape: kind, knee, ratio and their uncertainties', () => {
    const shaped = document.results.filter((r) => r.shape?.compression !== undefined);
    expect(shaped.length).toBeGreaterThan(3);
    for (const result of shaped) {
      const { compression, rebound, ratios } = result.shape!;
      const tables = tablesOf(sheetOf(result));
      const table = tables.find((t) => t.caption.startsWith('Shape'))!;
      for (const [name, side] of [
        ['Compression', compression!],
        ['Rebound', rebound!],
      ] as const) {
        const row = table.rows.find((r) => r[0] === name)!;
        expect(row[1]).toBe(side.kind);
        const [knee, U] = row[2]!.split(' ± ').map(Number);
        expect(Math.abs(knee! - side.knee_mm_s!)).toBeLessThanOrEqual(0.0551);
        expect(Math.abs(U! - side.U!)).toBeLessThanOrEqual(0.0551);
        if (result.verdict === 'pass') continue;
        const said = new RegExp(`${name.toLowerCase()} ${side.kind}, knee at ([\\d.]+) ± ([\\d.]+) mm/s`).exec(
          text.slice(text.indexOf(`${result.serial} build ${result.build} `)),
        )!;
        expect(Math.abs(Number(said[1]) - side.knee_mm_s!)).toBeLessThanOrEqual(0.51);
        expect(Math.abs(Number(said[2]) - side.U!)).toBeLessThanOrEqual(0.51);
      }
      const measured = tables
        .find((t) => t.caption === 'Rebound over compression')!
        .rows.find((r) => r[0] === 'Measured')!;
      expect(measured.slice(1).length).toBe(ratios!.length);
      ratios!.forEach(({ reboundOverCompression }, i) => {
        expect(Math.abs(Number(measured[i + 1]) - reboundOverCompression)).toBeLessThanOrEqual(0.0051);
      });
    }
  });

  it('the figures of the terminal at the worst setting', () => {
    for (const result of document.results.filter((r) => r.verdict !== 'pass' && r.worst !== undefined)) {
      const block = text.slice(text.indexOf(`${result.serial} build ${result.build} `));
      for (const side of ['compression', 'rebound'] as const) {
        const figures = block
          .split('\n')
          .find((line) => line.startsWith(`  ${side} `))!
          .trim()
          .split(/\s+/)
          .slice(1);
        const points = result.points
          .filter((p) => p.side === side && name(p) === name(result.worst!))
          .sort((a, b) => a.velocity_mm_s - b.velocity_mm_s);
        expect(figures.length).toBe(points.length);
        points.forEach((point, i) => {
          near(figures[i]!.replace(/[!?]$/, ''), share(point));
          expect(/[!?]?$/.exec(figures[i]!)![0]).toBe({ pass: '', fail: '!', undecided: '?' }[point.verdict]);
        });
      }
    }
  });

  it('every finding of the document stands in both', () => {
    const all = elementsOf(page)
      .find((e) => e.name === 'body')!
      .text.replace(/\s+/g, ' ');
    for (const found of document.findings) {
      expect(all).toContain(found.message);
      expect(text.replace(/\s+/g, ' ')).toContain(found.message);
      expect(all).toContain(`${found.file}:${found.line}`);
      expect(text).toContain(`${found.file}:${found.line}  ${found.rule}`);
    }
  });
});
