import { existsSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { leftOverDrift } from '../../src/charts/leftOverDrift';
import { LIGHT } from '../../src/charts/theme';
import { renderCorrectionHtml } from '../../src/reports/correctionHtml';
import { correctionDocument } from '../../src/reports/correctionJson';
import { renderCorrectionMarkdown } from '../../src/reports/correctionMarkdown';
import { correctionDocumentSchema } from '../../src/reports/correctionSchema';
import { renderCorrectionText } from '../../src/reports/correctionText';
import { reviewDocument } from '../../src/reports/json';
import { reviewDocumentSchema } from '../../src/reports/reviewSchema';
import { renderText } from '../../src/reports/text';
import { correctResult } from '../../src/review/corrections';
import type { Correction } from '../../src/review/correction';
import type { JudgedResult } from '../../src/review/judgedResult';
import { faultsOf } from '../charts/vegaLiteCheck';
import { correctionUnit, testedWith } from '../review/correctionUnits';
import { createRandom } from '../simulator/random';
import { HOSTILE } from '../text/hostileText';
import { outcomeOf } from './fixtures/outcomes';

const SCHEMA_FILE = new URL('../../docs/schema/correction.schema.json', import.meta.url);
const schema = z.toJSONSchema(correctionDocumentSchema);
const ajv = new Ajv2020({ strict: false });
const validate = ajv.compile(schema);
const validateReview = ajv.compile(z.toJSONSchema(reviewDocumentSchema));
function faults(document: unknown, check = validate): unknown {
  check(JSON.parse(JSON.stringify(document)));
  return check.errors;
}

const random = createRandom(11);
const unit = correctionUnit(random);
const result = testedWith(unit, { leftOut: { LSC: 3 }, gas: 40 }, random);
const correction = correctResult(result);
const attached: JudgedResult = { ...result, correction };

describe('reports of a correction', () => {
  it('have a published schema (`npx vitest run tests/reports -u` writes it anew)', async () => {
    expect(existsSync(SCHEMA_FILE)).toBe(true);
    await expect(`${JSON.stringify(schema, null, 2)}\n`).toMatchFileSnapshot(
      '../../docs/schema/correction.schema.json',
    );
  });

  it('fit it, and so does the result of a check; a broken one does not', () => {
    const document = correctionDocument(result, correction);
    expect(faults(document)).toBe(null);
    expect(faults({ ...document, correction: { ...document.correction, state: 'mended' } })).not.toBe(null);
    const review = reviewDocument(outcomeOf([attached]));
    expect(faults(review, validateReview)).toBe(null);
    expect(review.results[0]!.correction).toEqual(document.correction);
  });

  it('name the same causes, sizes and clicks in every format', async () => {
    const document = correctionDocument(result, correction);
    const needle = document.correction.terms.find(({ cause }) => cause === 'needle LSC')!;
    expect(Math.abs(needle.value - 3)).toBeLessThan(0.5);
    const texts = [
      renderCorrectionText(result, correction, { colour: false, width: 400 }),
      renderCorrectionMarkdown(result, correction),
      await renderCorrectionHtml(result, correction, { generated: '2026-05-01T10:00:00Z' }),
    ];
    for (const text of texts) {
      expect(text).toContain('Needle zero of LSC is off by 3 clicks');
      expect(text).toContain('LSC 9 to 6');
      expect(text).toContain('first laps slow');
      expect(text).toContain('The verdict stands');
      expect(text).toContain('needle LSC');
    }
    const check = renderText(outcomeOf([attached]), { colour: false, width: 400 });
    expect(check).toMatch(/Cause .*Needle zero of LSC is off by 3 clicks/);
    expect(check).toContain('On a car: LSC 9 to 6 (3 clicks).');
  });

  it('have points whose parts add up', () => {
    const { points } = correctionDocument(result, correction);
    expect(points.length).toBe(result.points.length);
    for (const { drift_N, explained_N, left_N } of points)
      expect(Math.abs(drift_N - explained_N - left_N)).toBeLessThanOrEqual(0.0151);
  });

  it('draw drift as measured, explained and left over', () => {
    const chart = leftOverDrift(result, correction, { theme: LIGHT })!;
    expect(faultsOf(chart)).toEqual([]);
    const text = JSON.stringify(chart);
    expect(text).toContain('left over');
    expect(leftOverDrift(result, { ...correction, points: [] }, { theme: LIGHT })).toBeUndefined();
  });

  it('show hostile names as text and nothing else', async () => {
    const html = await renderCorrectionHtml({ ...result, file: HOSTILE.join(' ') }, hostile(), {
      generated: '2026-05-01T10:00:00Z',
    });
    expect(html).not.toContain('<script');
    expect(html).not.toMatch(/<img/i);
    expect(faults(correctionDocument(result, hostile()))).toBe(null);
    // eslint-disable-next-line no-control-regex
    expect(renderCorrectionText(result, hostile(), { colour: false, width: 100 })).not.toMatch(/\u001b/u);
  });
});

/** The correction with every hostile text wherever text of files may stand. */
function hostile(): Correction {
  return {
    ...correction,
    terms: HOSTILE.map((text) => ({ ...correction.terms[0]!, cause: text, unit: text })),
    conclusions: HOSTILE.map((text) => ({ text, next: text })),
    notSeparable: [HOSTILE],
    reasons: HOSTILE,
  };
}
