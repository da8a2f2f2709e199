import { describe, expect, it } from 'vitest';
import { readSpec } from '../../src/files/readSpec';
import type { PlacedSpec } from '../../src/files/spec';
import { bytesOf, onlyProblem, told } from './support';

const FILE = 'specs/alder-front.damper.yaml';

/** The example of the format's page, every key in it. */
const FULL = `formatVersion: 1
id: alder-front
title: Alder trainer, front strut
formerly: [alder-front-proto]                 # old ids
hardware: { piston: 44 mm, rod: 18 mm, gasPressure: 12 bar, gasVolume: 80 cm3, stroke: 110 mm, valving: { compression: digressive, rebound: linear } }
adjusters:
  LSC: { clicks: 18, acts: { side: compression, band: [50 mm/s, 400 mm/s] } }
  HSC: { clicks: 12, acts: { side: compression, band: [400 mm/s, 1500 mm/s] } }
  R:   { clicks: 18, acts: { side: rebound } }
settings: { delivery: { LSC: 8, HSC: 6, R: 8 } }
test:
  velocities: [5 mm/s, 25 mm/s, 50 mm/s, { from: 100 mm/s, to: 1500 mm/s, step: 100 mm/s }]
  stroke: 50 mm
  cycles: 4
  warmup: { velocity: 300 mm/s, cycles: 4 }
  temperature: [30 Cel, 40 Cel]
tolerance:
  compression: { relative: 5 %, absolute: 20 N }
  rebound:     { softer: { relative: 5 %, absolute: 20 N }, harder: { relative: 3 %, absolute: 20 N } }
  gasForce: 20 N
  friction: 20 N
  pair: { relative: 3 %, absolute: 15 N }
  clickStep: { least: 50 %, most: 150 %, law: as-reference }
  fade: 10 %
limits: { maxTemperature: 110 Cel, maxForce: 8 kN, maxVelocity: 2 m/s }
purpose: release
reference: alder-front.refcurve.csv
rules: { loop-asymmetric: { level: warning, limit: 9 % }, loop-rough: { limit: 1.4 } }
`;

function specOf(text: string): PlacedSpec {
  const { spec, problems } = readSpec(FILE, bytesOf(text));
  if (spec === undefined) throw new Error(JSON.stringify(problems.map(told)));
  return spec;
}

function faultOf(body: string): Record<string, unknown> {
  const { spec, problems } = readSpec(FILE, bytesOf(`formatVersion: 1\nid: a\n${body}\n`));
  expect(spec).toBeUndefined();
  return told(onlyProblem(problems));
}

describe('a full spec', () => {
  const spec = specOf(FULL);

  it('arrives in SI', () => {
    const plain = JSON.parse(JSON.stringify(spec)) as unknown;
    expect(plain).toEqual({
      file: FILE,
      id: 'alder-front',
      title: 'Alder trainer, front strut',
      formerly: ['alder-front-proto'],
      hardware: {
        piston: 0.044,
        rod: 0.018,
        gasPressure: 12e5,
        gasVolume: 80 / 1e6,
        stroke: 0.11,
        valving: { compression: 'digressive', rebound: 'linear' },
      },
      adjusters: [
        {
          id: 'LSC',
          unit: 'click',
          clicks: 18,
          countsFrom: 'closed',
          acts: { side: 'compression', band: [0.05, 0.4] },
        },
        { id: 'HSC', unit: 'click', clicks: 12, countsFrom: 'closed', acts: { side: 'compression', band: [0.4, 1.5] } },
        { id: 'R', unit: 'click', clicks: 18, countsFrom: 'closed', acts: { side: 'rebound' } },
      ],
      settings: { delivery: { LSC: 8, HSC: 6, R: 8 } },
      test: {
        velocities: [0.005, 0.025, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.3, 1.4, 1.5],
        stroke: 0.05,
        cycles: 4,
        warmup: { velocity: 0.3, cycles: 4 },
        temperature: [303.15, 313.15],
      },
      tolerance: {
        compression: { softer: { relative: 0.05, absolute: 20 }, harder: { relative: 0.05, absolute: 20 } },
        rebound: { softer: { relative: 0.05, absolute: 20 }, harder: { relative: 0.03, absolute: 20 } },
        gasForce: 20,
        friction: 20,
        pair: { relative: 0.03, absolute: 15 },
        clickStep: { least: 0.5, most: 1.5, law: 'as-reference' },
        fade: 0.1,
      },
      limits: { maxTemperature: 383.15, maxForce: 8000, maxVelocity: 2 },
      purpose: 'release',
      role: 'product',
      normalise: false,
      reference: 'specs/alder-front.refcurve.csv',
      rules: { 'loop-asymmetric': { level: 'warning', limit: 0.09 }, 'loop-rough': { limit: 1.4 } },
    });
  });

  it('knows where its keys stand', () => {
    expect(spec.positionOf('tolerance.compression')).toMatchObject({ line: 18, column: 3 });
    expect(spec.positionOf('tolerance.compression.relative')).toMatchObject({ line: 18, column: 18 });
    expect(spec.positionOf('test.velocities[3].step')).toMatchObject({ line: 12 });
    expect(spec.positionOf('tolerance.fade.nothing')).toMatchObject({ line: 24, column: 3 });
    expect(spec.positionOf('nothing')).toMatchObject({ line: 1, column: 1 });
  });

  it('finds nothing under names that every object has', () => {
    expect('constructor' in spec.settings).toBe(false);
    expect('toString' in spec.rules).toBe(false);
  });
});

describe('a spec of two keys', () => {
  it('judges nothing', () => {
    const spec = specOf('formatVersion: 1\nid: 017\n');
    expect([spec.id, spec.adjusters, spec.test.velocities, spec.tolerance, spec.limits]).toEqual([
      '017',
      [],
      [],
      {},
      {},
    ]);
  });
});

describe('other spellings', () => {
  it('takes turns, positions and the open stop', () => {
    const { adjusters } = specOf(
      'formatVersion: 1\nid: a\nadjusters:\n  T: { positions: [22, 25, 35, 80], unit: lb }\n  R: { clicks: 3.5, unit: turn, countsFrom: open, acts: { side: both, crossLimit: 10 % } }\n',
    );
    expect(adjusters).toEqual([
      { id: 'T', unit: 'lb', positions: [22, 25, 35, 80], countsFrom: 'closed' },
      { id: 'R', unit: 'turn', clicks: 3.5, countsFrom: 'open', acts: { side: 'both', crossLimit: 0.1 } },
    ]);
  });

  it.each([
    ['rod: through', { rodKind: 'through' }],
    ['rod: 18 mm', { rod: 0.018 }],
    ['rod: { diameter: 18 mm, kind: through }', { rod: 0.018, rodKind: 'through' }],
    ['gas: none', { gas: 'none' }],
    ['baseValve: yes', { baseValve: true }],
  ])('%s', (text, hardware) => {
    expect(specOf(`formatVersion: 1\nid: a\nhardware: { ${text} }\n`).hardware).toEqual(hardware);
  });

  it('takes a reference in another folder of the repository', () => {
    expect(specOf('formatVersion: 1\nid: a\nreference: ../refs/a.refcurve.csv\n').reference).toBe(
      'refs/a.refcurve.csv',
    );
  });
});

describe('a fault stands at its key, with value and remedy', () => {
  it.each([
    [
      'tolerance: { compresion: { relative: 5 % } }',
      { line: 3, column: 14, key: 'tolerance.compresion', value: 'compresion', remedy: /Did you mean 'compression'\?/ },
    ],
    [
      'hardware: { stroke: 110 }',
      { line: 3, column: 13, key: 'hardware.stroke', value: '110', message: /no unit/, remedy: /110 mm/ },
    ],
    [
      'tolerance: { gasForce: 20 mm }',
      {
        rule: 'unit-mismatch',
        key: 'tolerance.gasForce',
        value: '20 mm',
        message: /'mm' is a unit of length; a force/,
        remedy: /N, kN/,
      },
    ],
    [
      'limits: { maxVelocity: 2 m/sec }',
      { rule: 'unit-mismatch', key: 'limits.maxVelocity', value: '2 m/sec', remedy: /Did you mean 'm\/s'/ },
    ],
    [
      'test:\n  stroke: [in_i]',
      {
        line: 4,
        column: 3,
        key: 'test.stroke',
        value: '[in_i]',
        message: /a list of one item/,
        remedy: /quotation marks/,
      },
    ],
    ['test: { stroke: 2 [in_i] }', { line: 3, remedy: /quotation marks.*in, in\/s/ }],
    ['test: { velocities: [100] }', { key: 'test.velocities[0]', value: '100', remedy: /100 mm\/s/ }],
    [
      'test: { velocities: [{ from: 1 m/s, to: 0.5 m/s, step: 0.1 m/s }] }',
      { key: 'test.velocities', message: /1 to 1000 speeds/ },
    ],
    [
      'test: { velocities: [{ from: 1 mm/s, to: 9 m/s, step: 0.001 mm/s }] }',
      { key: 'test.velocities', message: /1 to 1000 speeds/ },
    ],
    [
      'test: { velocities: [{ from: 1 m/s, to: 2 m/s }] }',
      { key: 'test.velocities[0].step', message: /'step' is missing/ },
    ],
    ['test: { cycles: 2.5 }', { key: 'test.cycles', value: '2.5', message: /whole number/ }],
    [
      'test: { temperature: [40 Cel, 30 Cel] }',
      { key: 'test.temperature', value: '[40 Cel, 30 Cel]', remedy: /\[30 Cel, 40 Cel\]/ },
    ],
    [
      'tolerance: { rebound: { softer: { relative: 5 % } } }',
      { key: 'tolerance.rebound', message: /'harder' is missing/ },
    ],
    ['tolerance: { rebound: {} }', { key: 'tolerance.rebound', message: /neither a relative nor an absolute/ }],
    [
      'tolerance: { rebound: { relative: 5 %, softer: { absolute: 1 N }, harder: { absolute: 1 N } } }',
      { key: 'tolerance.rebound', message: /beside softer/ },
    ],
    ['tolerance: { fade: -5 % }', { key: 'tolerance.fade', value: '-5 %', message: /below zero/ }],
    ['purpose: realease', { key: 'purpose', value: 'realease', remedy: /Did you mean 'release'/ }],
    [
      'formerly: old',
      { key: 'formerly', value: 'old', message: /one value; a list is expected/, remedy: /\[ \.\.\. \]/ },
    ],
    ['title: ', { key: 'title', message: /no value/ }],
    [
      'adjusters: { LSC: { clicks: 18 } }\nsettings: { delivery: { LSR: 8 } }',
      { line: 4, column: 25, key: 'settings.delivery.LSR', value: '8', remedy: /Did you mean 'LSC'/ },
    ],
    [
      'adjusters: { LSC: { clicks: 18 } }\nsettings: { delivery: { LSC: 19 } }',
      { line: 4, key: 'settings.delivery.LSC', value: '19', remedy: /0 to 18/ },
    ],
    ['adjusters: { LSC: {} }', { key: 'adjusters.LSC', message: /either clicks or positions/ }],
    ['adjusters: { LSC: { clicks: 1.5 } }', { key: 'adjusters.LSC.clicks', value: '1.5', remedy: /unit: turn/ }],
    ['adjusters: { "L.C": { clicks: 18 } }', { message: /cannot be the id/ }],
    [
      'rules: { loop-asymetric: { level: note } }',
      { key: 'rules.loop-asymetric', remedy: /Did you mean 'loop-asymmetric'/ },
    ],
    [
      'rules: { loop-void: { limit: 8 % } }',
      { rule: 'unit-mismatch', key: 'rules.loop-void.limit', value: '8 %', message: /a length is expected/ },
    ],
    ['rules: { sign-suspect: { limit: 8 % } }', { key: 'rules.sign-suspect.limit', message: /has no limit/ }],
    [
      'reference: ../../etc/passwd',
      {
        rule: 'path-outside',
        line: 3,
        column: 1,
        key: 'reference',
        value: '../../etc/passwd',
        remedy: /relative to this file/,
      },
    ],
    ['reference: /etc/passwd', { rule: 'path-outside', value: '/etc/passwd', message: /absolute/ }],
    ['reference: C:/curves.csv', { rule: 'path-outside', message: /drive/ }],
    ['reference: ..\\curves.csv', { rule: 'path-outside', message: /backslash/, remedy: /forward slashes/ }],
    ['hardware: 44 mm', { key: 'hardware', value: '44 mm', message: /keys with values are expected/ }],
    ['id: b', { line: 3, column: 1, value: 'id', message: /second time/, remedy: /Keep one/ }],
    ['__proto__: { polluted: yes }', { line: 3, column: 1, value: '__proto__', message: /cannot be a key/ }],
    ['title: !!js/function "x"', { line: 3, message: /Tags/ }],
    ['---\nid: b', { line: 3, message: /second YAML document/ }],
    ['\ttitle: x', { line: 3, remedy: /spaces/ }],
  ])('%s', (body, expected) => {
    const fault = faultOf(body);
    for (const [key, value] of Object.entries(expected)) {
      if (value instanceof RegExp) expect(fault[key], key).toMatch(value);
      else expect(fault[key], key).toEqual(value);
    }
    expect(fault['rule']).toBe('rule' in expected ? expected.rule : 'spec-invalid');
    expect(String(fault['remedy']).length).toBeGreaterThan(10);
  });

  it('lists every fault of a file, in its order', () => {
    const { problems } = readSpec(FILE, bytesOf('formatVersion: 2\nidd: x\ntest: { stroke: 5, cycles: no }\n'));
    expect(problems.map((p) => [p.position.line, p.column])).toEqual([
      [1, 'formatVersion'],
      [1, 'id'],
      [2, 'idd'],
      [3, 'test.stroke'],
      [3, 'test.cycles'],
    ]);
  });

  it('does not pollute prototypes', () => {
    readSpec(
      FILE,
      bytesOf('formatVersion: 1\nid: a\n"__proto__": { polluted: 1 }\nsettings: { "__proto__": { polluted: 1 } }\n'),
    );
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
  });
});

describe('files that are no spec at all', () => {
  it.each([
    ['', 'unreadable', /empty/],
    ['\u0000\u0001\u0002\u0003', 'unreadable', /binary/],
    ['version https://git-lfs.github.com/spec/v1\noid sha256:ab\nsize 123456\n', 'large-file-pointer', /123456 bytes/],
    ['# nothing but a comment\n', 'spec-invalid', /The file is empty/],
    ['just words\n', 'spec-invalid', /keys with values/],
    ['- a\n- b\n', 'spec-invalid', /a list; keys with values/],
  ])('%j', (text, rule, message) => {
    const { spec, problems } = readSpec(FILE, bytesOf(text));
    expect([spec, problems.length, problems[0]?.rule]).toEqual([undefined, 1, rule]);
    expect(problems[0]?.message).toMatch(message);
    expect(problems[0]?.file).toBe(FILE);
  });

  it('names UTF-16 and the byte that is no UTF-8', () => {
    const utf16 = new Uint8Array([0xff, 0xfe, 0x69, 0, 0x64, 0, 0x3a, 0]);
    expect(onlyProblem(readSpec(FILE, utf16).problems)).toMatchObject({
      rule: 'unreadable',
      message: 'The file is UTF-16 text.',
    });
    const latin = bytesOf('id: a\ntitle: 5 ?C\n').map((byte) => (byte === 0x3f ? 0xb0 : byte));
    const { position, value, message } = onlyProblem(readSpec(FILE, latin).problems);
    expect([position, value]).toEqual([{ line: 2, column: 10 }, 'byte 0xB0']);
    expect(message).toContain('degree sign');
  });
});
