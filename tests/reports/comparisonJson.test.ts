import { existsSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { comparisonDocument } from '../../src/reports/comparisonJson';
import { comparisonDocumentSchema } from '../../src/reports/comparisonSchema';
import { HOSTILE } from '../text/hostileText';
import { compared } from './fixtures/comparisons';
import { hostileComparison } from './fixtures/hostileOutcome';

const SCHEMA_FILE = new URL('../../docs/schema/comparison.schema.json', import.meta.url);
const schema = z.toJSONSchema(comparisonDocumentSchema);
const validate = new Ajv2020({ strict: false }).compile(schema);
function faults(document: unknown): unknown {
  validate(JSON.parse(JSON.stringify(document)));
  return validate.errors;
}

describe('the document of a comparison', () => {
  it('has a published schema that is the one its types come from (`npx vitest run tests/reports -u` writes it anew)', async () => {
    expect(existsSync(SCHEMA_FILE)).toBe(true);
    await expect(`${JSON.stringify(schema, null, 2)}\n`).toMatchFileSnapshot(
      '../../docs/schema/comparison.schema.json',
    );
  });

  it('fits it, and a broken one does not', () => {
    expect(faults(comparisonDocument(compared))).toBe(null);
    expect(faults({ ...comparisonDocument(compared), statement: 1 })).not.toBe(null);
    for (const text of HOSTILE) expect(faults(comparisonDocument(hostileComparison(text)))).toBe(null);
  });

  it('has forces that add up, and leaves out what is not known', () => {
    const { points } = comparisonDocument(compared);
    expect(points.length).toBe(compared.points.length);
    for (const point of points)
      expect(Math.abs(point.b_N - point.a_N - point.difference_N)).toBeLessThanOrEqual(0.0151);
    const unknown = comparisonDocument({
      ...compared,
      points: compared.points.map((p) => ({ ...p, uncertainty: NaN })),
    });
    expect(unknown.points.some((point) => 'uncertainty_N' in point)).toBe(false);
  });
});
