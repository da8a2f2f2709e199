import { describe, expect, it } from 'vitest';
import { emptyReviewConfig, readReviewConfig } from '../../src/files/readReviewConfig';
import { bytesOf, onlyProblem, told } from './support';

const FILE = 'damper-review.yaml';
const read = (text: string) => readReviewConfig(FILE, bytesOf(text));

const FULL = `formatVersion: 1
logs:
  - files: "incoming/**/*.csv"
    delimiter: ";"
    decimal: ","
    skipLines: 3
    columns:
      time:         { header: "t", unit: s }
      displacement: { header: "way", unit: mm, positive: rebound }
      force:        { header: "load", unit: kN }
      R:            { header: "knob", unit: click }
    preamble: { spec: alder-front, setting: { LSC: 8 }, build: 01 }
  - files: "older/*/*/*.csv"
    fromPath: "older/{serial}/{build}/{setting.R}.csv"
benches: { bench-1: { loadCell: { U: 5 N, relativeU: 0.1 % }, displacementU: 0.02 mm, skewU: 0.1 ms, movingMass: 2.5 kg, conRod: 300 mm, calibrated: 2026-01-10, calibrationInterval: 365 d } }
rules: { loop-asymmetric: { level: warning, limit: 8 % } }
waivers: [ { rule: gas-force-low, file: "dampers/F-003/**", reason: "seal kit ordered", by: "workshop lead", until: 2026-06-30 } ]
`;

describe('the whole file', () => {
  const { config, problems } = read(FULL);

  it('arrives in SI', () => {
    expect(problems).toEqual([]);
    expect(JSON.parse(JSON.stringify(config))).toEqual({
      file: FILE,
      logs: [
        {
          file: FILE,
          keyPath: 'logs[0]',
          files: 'incoming/**/*.csv',
          delimiter: ';',
          decimal: ',',
          skipLines: 3,
          columns: [
            { role: 'time', header: 't', unit: 's', positive: 'compression' },
            { role: 'displacement', header: 'way', unit: 'mm', positive: 'rebound' },
            { role: 'force', header: 'load', unit: 'kN', positive: 'compression' },
            { role: 'adjuster', id: 'R', header: 'knob', unit: 'click', positive: 'compression' },
          ],
          preamble: { spec: 'alder-front', setting: { LSC: '8' }, build: '01' },
        },
        {
          file: FILE,
          keyPath: 'logs[1]',
          files: 'older/*/*/*.csv',
          skipLines: 0,
          fromPath: 'older/{serial}/{build}/{setting.R}.csv',
          preamble: {},
        },
      ],
      benches: {
        'bench-1': {
          id: 'bench-1',
          loadCellU: 5,
          loadCellRelativeU: 0.001,
          displacementU: 0.00002,
          skewU: 0.0001,
          movingMass: 2.5,
          conRod: 0.3,
          calibrated: '2026-01-10',
          calibrationInterval: 365,
        },
      },
      rules: { 'loop-asymmetric': { level: 'warning', limit: 0.08 } },
      waivers: [
        {
          rule: 'gas-force-low',
          file: 'dampers/F-003/**',
          reason: 'seal kit ordered',
          by: 'workshop lead',
          until: '2026-06-30',
          position: { line: 17, column: 12, endLine: 17, endColumn: 129 },
        },
      ],
    });
  });

  it('knows where its keys stand', () => {
    expect(config.positionOf('logs[0].columns.force.unit')).toMatchObject({ line: 10, column: 39 });
    expect(config.positionOf('benches.bench-1.calibrated')).toMatchObject({ line: 15 });
  });

  it('finds no bench under a name that every object has', () => {
    expect(['constructor' in config.benches, 'toString' in config.benches]).toEqual([false, false]);
  });
});

describe('faults', () => {
  const log = (body: string) => `formatVersion: 1\nlogs:\n  - files: "a/*.csv"\n    ${body}\n`;
  const columns = (body: string) =>
    log(`columns:\n      time: { header: t, unit: s }\n      displacement: { header: x, unit: mm }\n      ${body}`);

  it.each([
    ['unknown key', 'formatVersion: 1\nlog: []\n', { line: 2, column: 1, value: 'log', remedy: /Did you mean 'logs'/ }],
    [
      'unknown key of a mapping',
      log('delimeter: ";"'),
      { line: 4, column: 5, key: 'logs[0].delimeter', remedy: /'delimiter'/ },
    ],
    ['unknown delimiter', log('delimiter: "|"'), { key: 'logs[0].delimiter', value: '|' }],
    ['comma for both', log('delimiter: ","\n    decimal: ","'), { key: 'logs[0].decimal', value: ',', remedy: /";"/ }],
    [
      'misspelt channel',
      columns('forse: { header: F, unit: N }'),
      { key: 'logs[0].columns', message: /'force' is missing/, remedy: /'forse'/ },
      2,
    ],
    [
      'unknown unit',
      columns('force: { header: F, unit: newton }'),
      { rule: 'unit-mismatch', line: 7, key: 'logs[0].columns.force.unit', value: 'newton', remedy: /Known here: N/ },
    ],
    [
      'wrong dimension',
      columns('force: { header: F, unit: mm }'),
      {
        rule: 'unit-mismatch',
        line: 7,
        key: 'logs[0].columns.force.unit',
        value: 'mm',
        message: /not a unit for a force/,
      },
    ],
    [
      'unit in bare brackets',
      columns('force: { header: F, unit: [lbf_av] }'),
      {
        line: 7,
        key: 'logs[0].columns.force.unit',
        value: '[lbf_av]',
        message: /list of one item/,
        remedy: /quotation marks/,
      },
    ],
    [
      'direction of time',
      log(
        'columns:\n      time: { header: t, unit: s, positive: rebound }\n      displacement: { header: x, unit: mm }\n      force: { header: F, unit: N }',
      ),
      { key: 'logs[0].columns.time.positive', message: /no direction/ },
    ],
    [
      'unknown preamble key',
      log('preamble: { spek: a }'),
      { key: 'logs[0].preamble.spek', value: 'a', remedy: /'spec'/ },
    ],
    [
      'setting that is no number',
      log('preamble: { setting: { R: soft } }'),
      { key: 'logs[0].preamble.setting.R', value: 'soft' },
    ],
    [
      'unknown word in a path',
      log('fromPath: "a/{serail}.csv"'),
      { key: 'logs[0].fromPath', value: 'a/{serail}.csv', remedy: /'serial'/ },
    ],
    [
      'words without text between',
      log('fromPath: "a/{serial}{build}.csv"'),
      { key: 'logs[0].fromPath', message: /text between/ },
    ],
    [
      'a hostile pattern',
      'formatVersion: 1\nlogs:\n  - files: "*a*a*a*a*a*a*b"\n',
      { line: 3, column: 5, key: 'logs[0].files', message: /3 stars/ },
    ],
    [
      'a pattern out of the repository',
      'formatVersion: 1\nlogs:\n  - files: "../**"\n',
      { key: 'logs[0].files', value: '../**', message: /leads out/ },
    ],
    [
      'an asterisk without quotes',
      'formatVersion: 1\nlogs:\n  - files: **/*.csv\n',
      { line: 3, column: 12, remedy: /quotation marks/ },
    ],
    [
      'bare number of a bench',
      'formatVersion: 1\nbenches: { b: { displacementU: 0.02 } }\n',
      { line: 2, key: 'benches.b.displacementU', value: '0.02', remedy: /0.02 mm/ },
    ],
    [
      'impossible day',
      'formatVersion: 1\nbenches: { b: { calibrated: 2026-02-29 } }\n',
      { key: 'benches.b.calibrated', value: '2026-02-29' },
    ],
    [
      'unknown rule of a waiver',
      'formatVersion: 1\nwaivers: [{ rule: gas-low, file: "*", reason: r, by: b, until: 2026-01-01 }]\n',
      { key: 'waivers[0].rule', value: 'gas-low', remedy: /gas-force-low/ },
    ],
    [
      'waiver without end',
      'formatVersion: 1\nwaivers: [{ rule: loop-void, file: "*", reason: r, by: b }]\n',
      { key: 'waivers[0].until', message: /'until' is missing/ },
    ],
    [
      'a list where keys are due',
      'formatVersion: 1\nbenches: [b]\n',
      { key: 'benches', value: '[b]', message: /a list; keys/ },
    ],
  ])('%s', (_, text, expected, count = 1) => {
    const { problems } = read(text);
    expect(problems.length).toBe(count);
    const fault = told(problems[0]);
    for (const [key, value] of Object.entries(expected)) {
      if (value instanceof RegExp) expect(fault[key], key).toMatch(value);
      else expect(fault[key], key).toEqual(value);
    }
    expect(fault['rule']).toBe('rule' in expected ? expected.rule : 'file-invalid');
    expect([problems[0]!.file, String(fault['remedy']).length > 8]).toEqual([FILE, true]);
  });
});

describe('a file with faulty entries', () => {
  it('keeps the others, with their own places', () => {
    const { config, problems } = read(`formatVersion: 1
logs:
  - files: "../a/*.csv"
  - files: "b/*.csv"
benches: { good: { movingMass: 2 kg }, bad: { movingMass: 2 } }
rules: { loop-void: { level: note }, loop-viod: { level: off } }
waivers:
  - { rule: loop-void, file: "*", reason: r, by: b, until: never }
  - { rule: loop-void, file: "a/**", reason: r, by: b, until: 2026-12-31 }
surplus: 1
`);
    expect(problems.map((problem) => problem.column)).toEqual([
      'logs[0].files',
      'benches.bad.movingMass',
      'rules.loop-viod',
      'waivers[0].until',
      'surplus',
    ]);
    expect(config.logs.map(({ keyPath, files }) => [keyPath, files])).toEqual([['logs[1]', 'b/*.csv']]);
    expect(Object.keys(config.benches)).toEqual(['good']);
    expect({ ...config.rules }).toEqual({ 'loop-void': { level: 'note' } });
    expect(config.waivers.map(({ file, position }) => [file, position.line])).toEqual([['a/**', 9]]);
    expect(config.positionOf('logs[1].files').line).toBe(4);
  });

  it('holds nothing where the version or the syntax is at fault', () => {
    for (const text of [
      'formatVersion: 9\nlogs: [{ files: "a" }]\n',
      'logs: [{ files: "a" }]\n',
      'formatVersion: 1\nlogs: [\n',
      '',
    ]) {
      const { config, problems } = read(text);
      expect([config.logs, problems.length]).toEqual([[], 1]);
      expect(onlyProblem(problems).remedy.length).toBeGreaterThan(10);
    }
  });

  it('is empty where there is no file', () => {
    const config = emptyReviewConfig();
    expect([config.file, config.logs, config.waivers, config.positionOf('logs')]).toEqual([
      FILE,
      [],
      [],
      { line: 1, column: 1 },
    ]);
  });
});
