import { Ajv2020 } from 'ajv/dist/2020.js';
import { fullFormats } from 'ajv-formats/dist/formats.js';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { cornerSchema } from '../../../src/files/schema/cornerSchema';
import { jsonSchemaOf } from '../../../src/files/schema/jsonSchema';
import { knownKeys } from '../../../src/files/schema/knownKeys';
import { reviewConfigSchema } from '../../../src/files/schema/reviewConfigSchema';
import { specSchema } from '../../../src/files/schema/specSchema';

const ajv = new Ajv2020({ strict: false, allErrors: true });
ajv.addFormat('date', fullFormats.date);

const SPEC = `
formatVersion: 1
id: 017
formerly: [a]
hardware: { rod: 18 mm, gas: none, baseValve: true, valving: { rebound: linear } }
adjusters: { LSC: { clicks: 18, acts: { side: compression, band: [50 mm/s, 400 mm/s] } }, T: { positions: [22, 25.5], unit: lb } }
settings: { delivery: { LSC: 8 } }
test: { velocities: [5 mm/s, { from: 100 mm/s, to: 1500 mm/s, step: 100 mm/s }], cycles: 4, temperature: [30 Cel, 40 Cel] }
tolerance: { rebound: { softer: { relative: 5 % }, harder: { absolute: 20 N } } }
rules: { loop-rough: { limit: 1.4 } }
`;

describe('the JSON Schema', () => {
  // Outside check: ajv, a validator of JSON Schema 2020-12, on what another YAML reader makes of the file.
  it('takes what our reader takes, and not what it refuses', () => {
    const validate = ajv.compile(jsonSchemaOf(specSchema()));
    expect([validate(parse(SPEC)), validate.errors]).toEqual([true, null]);
    for (const wrong of [
      'adjuster: {}',
      'tolerance: { rebound: { relativ: 5 % } }',
      'purpose: relase',
      'formerly: a',
      'test: { velocities: 5 mm/s }',
    ]) {
      expect(validate({ formatVersion: 1, id: 'a', ...(parse(wrong) as object) }), wrong).toBe(false);
    }
    expect(validate({ formatVersion: 2, id: 'a' })).toBe(false);
    expect(validate({ id: 'a' })).toBe(false);
  });

  it('says of every key what it is', () => {
    for (const schema of [specSchema(), reviewConfigSchema(), cornerSchema]) {
      const properties = jsonSchemaOf(schema)['properties'] as Record<string, { description?: string }>;
      for (const [key, { description }] of Object.entries(properties)) expect(description, key).toBeTruthy();
    }
  });
});

describe('knownKeys', () => {
  it.each([
    [
      [],
      [
        'formatVersion',
        'id',
        'title',
        'formerly',
        'hardware',
        'adjusters',
        'settings',
        'test',
        'tolerance',
        'limits',
        'purpose',
        'role',
        'normalise',
        'reference',
        'rules',
      ],
    ],
    [
      ['tolerance', 'rebound', 'softer'],
      ['relative', 'absolute'],
    ],
    [
      ['adjusters', 'LSC', 'acts'],
      ['side', 'band', 'crossLimit'],
    ],
    [
      ['test', 'velocities', 3],
      ['from', 'to', 'step'],
    ],
    [
      ['hardware', 'rod'],
      ['diameter', 'kind'],
    ],
    [['title'], []],
    [['nothing', 'there'], []],
  ])('%j', (path, keys) => {
    expect(knownKeys(specSchema(), path)).toEqual(keys);
  });
});
