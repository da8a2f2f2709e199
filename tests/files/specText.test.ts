import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readSpec } from '../../src/files/readSpec';
import { specOfText, textOfSpec, withoutPlaces } from '../../src/files/specText';
import { bytesOf } from './support';

const SPECS = 'samples/specs';
const samples = readdirSync(SPECS).filter((name) => name.endsWith('.damper.yaml'));

function meaningOf(bytes: Uint8Array) {
  const { spec, problems } = readSpec('specs/a.damper.yaml', bytes);
  expect(problems).toEqual([]);
  return withoutPlaces(spec!);
}

describe('a spec as a text', () => {
  it.each(samples)('is the same spec again: %s', (name) => {
    const spec = meaningOf(readFileSync(join(SPECS, name)));
    expect(specOfText(textOfSpec(spec))).toStrictEqual(spec);
  });

  it('keeps every key, and settings that bear names of JavaScript itself', () => {
    const spec = meaningOf(
      bytesOf(`formatVersion: 1
id: a
title: A
formerly: [b, c]
hardware: { piston: 44 mm, rod: { diameter: 18 mm, kind: through }, gas: none, valving: { compression: digressive } }
adjusters: { toString: { clicks: 18 }, R: { positions: [0, 5], countsFrom: open, acts: { side: rebound, crossLimit: 3 % } } }
settings: { hasOwnProperty: { toString: 4 }, soft: { R: 5 } }
test: { velocities: [25 mm/s, { from: 100 mm/s, to: 300 mm/s, step: 100 mm/s }], temperature: [30 Cel, 40 Cel] }
tolerance: { compression: { relative: 5 % }, gasForce: 20 N }
limits: { maxForce: 8 kN }
purpose: scrutineering
role: checkStandard
reference: a.refcurve.csv
rules: { loop-rough: { level: off } }
`),
    );
    const again = specOfText(textOfSpec(spec))!;
    expect(again).toStrictEqual(spec);
    expect(again.settings['constructor']).toBeUndefined();
    const { hasOwnProperty: named } = again.settings as { hasOwnProperty?: object };
    expect(Object.keys(named!)).toEqual(['toString']);
  });

  it('of none is none', () => {
    expect(specOfText(textOfSpec(undefined))).toBeUndefined();
  });
});
