import { existsSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { reviewDocument, reviewDocumentParts } from '../../src/reports/json';
import { reviewDocumentSchema } from '../../src/reports/reviewSchema';
import { HOSTILE } from '../text/hostileText';
import { inventedResult } from './fixtures/inventedDamper';
import { failing, finding, gasLow, outcomeOf, passing, undecided, unreferenced, workshop } from './fixtures/outcomes';

const SCHEMA_FILE = new URL('../../docs/schema/review.schema.json', import.meta.url);

/** As a consumer has it: the text, parsed, against the published schema. */
const validate = new Ajv2020({ strict: false, allErrors: true }).compile(z.toJSONSchema(reviewDocumentSchema));
function check(document: unknown): unknown {
  const read: unknown = JSON.parse(JSON.stringify(document));
  validate(read);
  return validate.errors;
}

describe('the published schema of the review document', () => {
  it('is the one that the types come from (`npx vitest run tests/reports -u` writes it anew)', async () => {
    expect(existsSync(SCHEMA_FILE)).toBe(true);
    const text = `${JSON.stringify(z.toJSONSchema(reviewDocumentSchema), null, 2)}\n`;
    await expect(text).toMatchFileSnapshot('../../docs/schema/review.schema.json');
  });

  it('accepts what is written, and refuses what is not', () => {
    expect(check(reviewDocument(workshop))).toBe(null);
    expect(check(reviewDocument(outcomeOf([])))).toBe(null);
    const document = reviewDocument(workshop);
    expect(check({ ...document, verdict: 'maybe' })).not.toBe(null);
    expect(check({ ...document, results: [{ ...document.results[0], friction_N: null }] })).not.toBe(null);
    expect(check({ ...document, results: [{ ...document.results[0], spare: 1 }] })).not.toBe(null);
  });

  it('is written result by result as it is whole', () => {
    for (const outcome of [workshop, outcomeOf([]), outcomeOf([failing, passing])])
      expect([...reviewDocumentParts(outcome)].join('')).toBe(
        `${JSON.stringify(reviewDocument(outcome), undefined, 2)}\n`,
      );
  });

  it('holds the example of docs/formats.md', () => {
    const entry = reviewDocument(outcomeOf([failing])).results[0]!;
    expect(entry).toMatchObject({
      file: 'dampers/F-017/build-2/alder-front.result.csv',
      log: 'dampers/F-017/build-2/alder-front.testlog.csv',
      spec: 'alder-front',
      serial: 'F-017',
      build: '2',
      attempt: 2,
      verdict: 'fail',
      worst: {
        side: 'rebound',
        velocity_mm_s: 300,
        setting: { LSC: 8, HSC: 3, R: 6 },
        drift_percent_of_tolerance: 134,
      },
      gas: { force_N: 375, expected_N: 374.8, rate_N_mm: 1.86, source: 'fit' },
      friction_N: 24,
    });
    expect(entry.points[0]).toMatchObject({
      side: 'compression',
      velocity_mm_s: 5,
      cycles: 4,
      coverageFactor: 2.02,
      degreesOfFreedom: 41,
      temperature_Cel: 34,
    });
    expect(entry.loops?.find((l) => l.velocity_mm_s === 100)).toMatchObject({
      amplitude_mm: 25,
      energy_J: 54.1,
      equivalentDamping_N_s_m: 6888,
      symmetryCompression_percent: 1.2,
    });
  });
});

describe('what a result cannot support', () => {
  it('is absent, never zero or null', () => {
    const entry = reviewDocument(outcomeOf([unreferenced])).results[0]!;
    expect(Object.keys(entry)).not.toContain('worst');
    expect(Object.keys(entry)).not.toContain('loops');
    expect(entry.gas).toEqual({ constantForce_N: 132, reason: 'needs a creep step' });
    for (const point of entry.points) expect(Object.keys(point)).not.toContain('reference_N');
    expect(JSON.stringify(reviewDocument(workshop))).not.toContain('null');
  });

  it('holds for numbers that JSON cannot say', () => {
    const [first, ...rest] = passing.points;
    const odd = {
      ...passing,
      points: [{ ...first!, degreesOfFreedom: Infinity, drift: NaN }, { ...rest[0]!, force: NaN }, ...rest.slice(1)],
    };
    const entry = reviewDocument(outcomeOf([{ ...odd, friction: NaN }])).results[0]!;
    expect(entry.points.length).toBe(passing.points.length - 1);
    expect(Object.keys(entry.points[0]!)).not.toContain('degreesOfFreedom');
    expect(Object.keys(entry.points[0]!)).not.toContain('drift_N');
    expect(Object.keys(entry)).not.toContain('friction_N');
    expect(check(reviewDocument(outcomeOf([{ ...odd, friction: NaN }])))).toBe(null);
  });

  it('is said of voids and waivers where they are', () => {
    const document = reviewDocument(outcomeOf([gasLow, failing]));
    expect(document.results.find((r) => r.serial === 'F-003')?.voids).toEqual([
      { setting: { LSC: 8, HSC: 3, R: 6 }, side: 'rebound', length_mm: 2.4, lagCorrected: true },
    ]);
    expect(document.findings.find((f) => f.rule === 'friction-high')?.waived).toEqual({
      reason: 'New seals, run in first',
      by: 'workshop lead',
      until: '2026-06-30',
    });
  });
});

describe('the numbers', () => {
  it('has the uncertainty of the drift where that is another', () => {
    const [first, second, ...rest] = passing.points;
    const points = [
      { ...first!, driftUncertainty: first!.uncertainty + 3 },
      { ...second!, driftUncertainty: second!.uncertainty },
      ...rest,
    ];
    const entries = reviewDocument(outcomeOf([{ ...passing, points }])).results[0]!.points;
    expect(entries[0]!.driftUncertainty_N).toBeCloseTo(entries[0]!.uncertainty_N! + 3, 6);
    expect(Object.keys(entries[1]!)).not.toContain('driftUncertainty_N');
  });

  it('add up as the definitions say', () => {
    for (const point of reviewDocument(outcomeOf([failing, undecided])).results.flatMap((r) => r.points)) {
      expect(Math.abs(point.damping_N! - point.reference_N! - point.drift_N!)).toBeLessThanOrEqual(0.0151);
      const share = Math.abs(point.drift_N!) / point.tolerance_N!;
      const U = point.uncertainty_N! / point.tolerance_N!;
      if (point.verdict === 'pass') expect(share + U).toBeLessThan(1.001);
      if (point.verdict === 'fail') expect(share - U).toBeGreaterThan(0.999);
    }
  });
});

describe('hostile names', () => {
  it('stay data, in keys and values', () => {
    for (const text of HOSTILE) {
      const result = inventedResult({
        serial: text,
        settings: [Object.fromEntries([[text, 3]])],
        drift: () => 0.1,
        velocities: [0.1, 0.2],
        spec: undefined,
      });
      const document = reviewDocument(
        outcomeOf(
          [result],
          [finding({ rule: text, level: 'note', message: text, evidence: Object.fromEntries([[text, text]]) })],
        ),
      );
      const read = JSON.parse(JSON.stringify(document)) as typeof document;
      expect(check(document)).toBe(null);
      expect(read.results[0]!.serial).toBe(text);
      expect(Object.keys(read.results[0]!.points[0]!.setting)).toEqual([text]);
      expect(read.findings[0]!.message).toBe(text);
    }
  });
});
