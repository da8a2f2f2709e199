import { describe, expect, it } from 'vitest';
import { canonicalBench, canonicalMapping, canonicalSpec } from '../../src/files/canonical';
import { readReviewConfig } from '../../src/files/readReviewConfig';
import { readSpec } from '../../src/files/readSpec';
import { bytesOf } from './support';

const SPEC = `formatVersion: 1
id: alder-front
hardware: { rod: 18 mm, gasPressure: 12 bar }
adjusters: { LSC: { clicks: 18 } }
test: { velocities: [50 mm/s, 100 mm/s] }
tolerance: { compression: { relative: 5 % } }
`;
const spec = (text: string) => canonicalSpec(readSpec('a.damper.yaml', bytesOf(text)).spec!);
const config = (text: string) => readReviewConfig('damper-review.yaml', bytesOf(`formatVersion: 1\n${text}`)).config;

describe('canonical texts', () => {
  it('are these, to the byte: committed digests hang on them', () => {
    expect(spec(SPEC)).toBe(
      'damper-spec spec 1\n{"adjusters":[{"id":"LSC","unit":"click"}],"hardware":{"gasPressure":1200000,"rod":0.018},"velocities":[0.05,0.1]}\n',
    );
    expect(canonicalBench(config('benches: { b: { loadCell: { U: 5 N }, skewU: 0.1 ms } }\n').benches['b']!)).toBe(
      'damper-spec bench 1\n{"loadCellU":5,"skewU":0.0001}\n',
    );
  });

  it.each([
    ['a comment', SPEC.replace('id:', '# why\nid:')],
    ['the tolerance', SPEC.replace('relative: 5 %', 'relative: 9 %, absolute: 1 N')],
    ['another spelling of a unit', SPEC.replace('18 mm', '1.8 cm').replace('12 bar', '1200 kPa')],
    ['the order of keys', SPEC.replace('{ rod: 18 mm, gasPressure: 12 bar }', '{ gasPressure: 12 bar, rod: 18 mm }')],
    ['velocities as a range', SPEC.replace('[50 mm/s, 100 mm/s]', '[{ from: 50 mm/s, to: 100 mm/s, step: 50 mm/s }]')],
    ['the id', SPEC.replace('id: alder-front', 'id: alder-rear\nformerly: [alder-front]')],
    ['CRLF', SPEC.replace(/\n/g, '\r\n')],
    [
      'valving, piston and title',
      SPEC.replace('rod: 18 mm', 'rod: 18 mm, piston: 44 mm').replace('id:', 'title: x\nid:'),
    ],
  ])('do not change with %s', (_, text) => {
    expect(spec(text)).toBe(spec(SPEC));
  });

  it.each([
    ['the rod', SPEC.replace('18 mm', '16 mm')],
    ['the gas', SPEC.replace('12 bar', '11 bar')],
    ['an adjuster', SPEC.replace('LSC', 'HSC')],
    ['the plan', SPEC.replace('50 mm/s', '60 mm/s')],
  ])('change with %s', (_, text) => {
    expect(spec(text)).not.toBe(spec(SPEC));
  });

  it('of a mapping: not where it stands nor what it claims, but all that changes the numbers', () => {
    const mapping = (files: string, more = '', unit = 'N') =>
      canonicalMapping(
        config(
          `logs:\n  - files: "${files}"\n    columns: { time: { header: t, unit: s }, displacement: { header: x, unit: mm }, force: { header: F, unit: ${unit} } }\n${more}`,
        ).logs[0]!,
      );
    expect(mapping('a/*.csv')).toBe(mapping('b/*.csv'));
    expect(mapping('a/*.csv', '', 'kN')).not.toBe(mapping('a/*.csv'));
    expect(mapping('a/*.csv', '    skipLines: 1\n')).not.toBe(mapping('a/*.csv'));
    expect(mapping('a/*.csv', '    preamble: { spec: b }\n')).not.toBe(mapping('a/*.csv'));
  });
});
