import { describe, expect, it } from 'vitest';
import type { ForceTable } from '../../src/files/forceTable';
import { REFERENCE, REFERENCE_TEXT, RESULT, RESULT_TEXT, SHA, body, tableOf } from './forceTableTexts';

describe('reference curves', () => {
  it('arrive in SI', () => {
    expect(tableOf(REFERENCE, REFERENCE_TEXT)).toEqual({
      file: REFERENCE,
      kind: 'reference',
      formatVersion: 1,
      spec: 'alder-front',
      headerLine: 8,
      adjusters: ['LSC', 'HSC', 'R'].map((id) => ({ id, unit: 'click' })),
      basis: { drive: 'sine', stroke: 0.05, midPosition: 0.035 },
      gas: { force: 375, temperature: 304.15, source: 'fit' },
      adopted: {
        from: ['dampers/F-001/build-1/alder-front.result.csv'],
        on: '2026-01-20',
        reason: 'First approved unit',
      },
      rows: [
        {
          line: 9,
          setting: [0, 0, 0],
          pass: 1,
          velocity: 0.1,
          compression: 895.4,
          rebound: -314.6,
          temperature: 307.15,
        },
        { line: 10, setting: [0, 0, 0], pass: 1, velocity: 0.2, compression: 1200, rebound: -500, temperature: 307.65 },
      ],
    });
  });

  it.each([
    ['semicolons and decimal commas', (t: string) => body(t, (line) => line.replace(/,/g, ';').replace(/\./g, ','))],
    ['tabs', (t: string) => body(t, (line) => line.replace(/,/g, '\t'))],
    ['CRLF', (t: string) => t.replace(/\n/g, '\r\n')],
    ['a byte order mark', (t: string) => `\uFEFF${t}`],
    [
      'quoted cells',
      (t: string) =>
        body(t, (line) =>
          line
            .split(',')
            .map((cell) => `"${cell}"`)
            .join(','),
        ),
    ],
    ['blank lines and comments', (t: string) => `# a note\n\n${t}\n\n`],
    [
      'other units',
      (t: string) =>
        t
          .replace('velocity [mm/s]', 'velocity [m/s]')
          .replace(',100,895', ',0.1,895')
          .replace(',200,1200', ',0.2,1200'),
    ],
  ])('say the same with %s', (_, change) => {
    const lines = (table: ForceTable) => ({
      ...table,
      headerLine: 0,
      rows: table.rows.map((row) => ({ ...row, line: 0 })),
    });
    expect(lines(tableOf(REFERENCE, change(REFERENCE_TEXT)))).toEqual(lines(tableOf(REFERENCE, REFERENCE_TEXT)));
  });

  it('take inches and pounds-force', () => {
    const text =
      '# formatVersion: 1\n# spec: a\nvelocity [[in_i]/s],compression [k[lbf_av]],rebound [lbf]\n1,0.1,-10\n';
    const [row] = tableOf(REFERENCE, text).rows;
    // NIST SP 811: 1 in = 25.4 mm and 1 lbf = 4.4482216152605 N, both exact.
    expect(row!.velocity).toBeCloseTo(0.0254, 15);
    expect(row!.compression).toBeCloseTo(444.82216152605, 11);
    expect(row!.rebound).toBeCloseTo(-44.482216152605, 12);
  });

  it('take a spec without adjusters and a side that was not measured', () => {
    const table = tableOf(
      REFERENCE,
      '# formatVersion: 1\n# spec: a\nvelocity [mm/s],compression [N],rebound [N]\n100,500,\n',
    );
    expect(table.adjusters).toEqual([]);
    expect(table.rows[0]).toEqual({ line: 4, setting: [], pass: 1, velocity: 0.1, compression: 500, rebound: NaN });
  });
});

describe('a result', () => {
  it('arrives with its origin and uncertainty, serial and build as written', () => {
    const table = tableOf(RESULT, RESULT_TEXT);
    expect(table.result).toEqual({
      serial: '017',
      build: '1e3',
      date: '2026-03-14T10:22:00Z',
      bench: 'bench-1',
      run: 2,
      sameMounting: true,
      retest: { of: '2026-03-13', reason: 'loose clevis' },
      method: 1,
      benchIncluded: false,
      source: [{ path: 'dampers/F-017/build-2/alder-front.testlog.csv', sha256: SHA }],
      inputs: { spec: SHA, bench: SHA },
      reference: { path: 'specs/alder-front.refcurve.csv', sha256: SHA },
    });
    expect(table.rows[0]).toMatchObject({
      pass: 1,
      gas: 374,
      measured: { compressionVelocity: 0.10012, reboundU: 3.2, compressionDf: 41, cycles: 4, energy: 54.1 },
    });
    expect(table.rows[1]).toMatchObject({ pass: 2, rebound: NaN, measured: { reboundU: NaN } });
    expect(table.rows[1]).not.toHaveProperty('gas');
  });
});
