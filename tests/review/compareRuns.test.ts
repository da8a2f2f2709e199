import { describe, expect, it } from 'vitest';
import type { ForceTable } from '../../src/files/forceTable';
import { compareRuns, specKeyChanges } from '../../src/review/compareRuns';
import type { ComparedRun } from '../../src/review/comparison';
import { aReference, aResult, referenceDamping, softer, VELOCITIES } from './scenario';

function run(label: string, table: ForceTable, changes: Partial<ComparedRun> = {}): ComparedRun {
  return {
    label,
    file: table.file,
    serial: 'F-017',
    build: label,
    specId: 'alder-front',
    bench: 'bench-1',
    table,
    ...changes,
  };
}

describe('compareRuns', () => {
  it('gives b less a at equal settings and speeds, with the uncertainty of the difference', () => {
    const b = aResult({ drift: (side) => (side === 'rebound' ? softer(side, 90) : 0) });
    const { points, mean, statement, onlyA, onlyB } = compareRuns(run('1', aResult()), run('2', b));
    expect(points).toHaveLength(2 * VELOCITIES.length);
    const at = points.find((p) => p.side === 'rebound' && p.velocity === 0.5)!;
    expect(at.a).toBeCloseTo(referenceDamping('rebound', 0.5), 9);
    expect(at.difference).toBeCloseTo(90, 9);
    expect(at).toMatchObject({ direction: 'softer', beyondScatter: true });
    expect(at.relative).toBeCloseTo(90 / 1550, 12);
    // Two standard uncertainties of 1 N with 60 degrees of freedom each: u = sqrt(2), 120 degrees, t = 1.9799 (table of Student's t).
    expect(at.uncertainty).toBeCloseTo(1.9799 * Math.SQRT2, 3);
    expect(mean.compression).toBeCloseTo(0, 12);
    expect(mean.rebound).toBeGreaterThan(0);
    expect(statement).toContain('8 in rebound (softer)');
    expect(statement).toContain('Remounting');
    expect(statement).toContain('uncertainty of the bench is in the test as well');
    expect([onlyA, onlyB]).toEqual([[], []]);
  });

  it('holds the chance of one false point in all to 5 %: a difference just below the shared limit is scatter', () => {
    // 16 points share 5 %: t(0.05 / 32, 120 df) = 3.01623 (SciPy stats.t.isf), so the limit is 3.01623 x sqrt(2) = 4.2656 N.
    const below = compareRuns(run('1', aResult()), run('2', aResult({ drift: () => 4.265 })));
    const above = compareRuns(run('1', aResult()), run('2', aResult({ drift: () => 4.266 })));
    expect(below.points.some((p) => p.beyondScatter)).toBe(false);
    expect(below.statement).toMatch(/^Within the scatter between cycles/);
    expect(above.points.every((p) => p.beyondScatter)).toBe(true);
  });

  it('turns round with its sides', () => {
    const a = run('1', aResult());
    const b = run(
      '2',
      aResult({
        drift: (side, v) => softer(side, 40 * v),
        row: (r) => ({ ...r, measured: { ...r.measured!, compressionVelocity: r.velocity * 1.01 } }),
      }),
    );
    const forward = compareRuns(a, b).points;
    const backward = compareRuns(b, a).points;
    forward.forEach((point, i) => {
      expect(backward[i]!.difference).toBeCloseTo(-point.difference, 9);
    });
  });

  it('takes no difference in achieved speed for one in force', () => {
    const faster = aResult({
      row: (r) => ({
        ...r,
        compression: 375 + referenceDamping('compression', r.velocity * 1.015),
        rebound: 375 + referenceDamping('rebound', r.velocity * 1.015),
        measured: { ...r.measured!, compressionVelocity: r.velocity * 1.015, reboundVelocity: r.velocity * 1.015 },
      }),
    });
    for (const point of compareRuns(run('1', aResult()), run('2', faster)).points)
      expect(Math.abs(point.difference)).toBeLessThan(1e-9);
  });

  it('lists rows that only one of them has', () => {
    const b = aResult({
      velocities: VELOCITIES.slice(1),
      settings: [
        [8, 3, 6],
        [8, 3, 7],
      ],
    });
    const { onlyA, onlyB } = compareRuns(run('1', aResult()), run('2', b));
    expect(onlyA).toEqual([{ setting: { LSC: 8, HSC: 3, R: 6 }, velocity: 0.1 }]);
    expect(onlyB).toHaveLength(VELOCITIES.length - 1);
  });

  it('names what was not alike', () => {
    const other = aResult({
      changes: {
        basis: { drive: 'triangle', stroke: 0.05, temperatureAt: 'body' },
        gas: { force: 300, source: 'fit' },
      },
    });
    const { basis } = compareRuns(run('1', aResult()), run('2', other, { bench: 'bench-2', specId: 'alder-rear' }));
    expect(basis.join('\n')).toMatch(/Drive: sine against triangle/);
    expect(basis.join('\n')).toMatch(/not compared: mid position/);
    expect(basis.join('\n')).toMatch(/Two benches: bench-1 and bench-2/);
    expect(basis.join('\n')).toMatch(/Two specs: alder-front and alder-rear/);
    expect(basis.join('\n')).toMatch(/Constant force 375 N against 300 N/);
  });

  it('compares two references without claiming scatter', () => {
    const moved = aReference({ rows: aReference().rows.map((r) => ({ ...r, compression: r.compression + 30 })) });
    const { points, statement } = compareRuns(run('1', aReference()), run('2', moved));
    expect(points.every((p) => Number.isNaN(p.uncertainty) && !p.beyondScatter)).toBe(true);
    expect(points.find((p) => p.side === 'compression')!.difference).toBeCloseTo(30, 9);
    expect(statement).toMatch(/^Neither states an uncertainty/);
  });

  it('says so where there is nothing in common', () => {
    const b = aResult({ settings: [[8, 3, 7]] });
    expect(compareRuns(run('1', aResult()), run('2', b)).statement).toMatch(/^Nothing to compare/);
  });

  it('passes changes of the spec on', () => {
    const changes = specKeyChanges(
      new Map([
        ['tolerance.gasForce', '20 N'],
        ['id', 'a'],
      ]),
      new Map([
        ['tolerance.gasForce', '30 N'],
        ['id', 'a'],
        ['test.cycles', '4'],
      ]),
    );
    expect(changes).toEqual([
      { key: 'test.cycles', a: '', b: '4' },
      { key: 'tolerance.gasForce', a: '20 N', b: '30 N' },
    ]);
    expect(compareRuns(run('1', aResult()), run('2', aResult()), { specChanges: changes }).specChanges).toBe(changes);
  });
});
