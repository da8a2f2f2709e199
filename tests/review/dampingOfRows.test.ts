import { describe, expect, it } from 'vitest';
import { SIDES } from '../../src/analysis/side';
import type { ForceRow } from '../../src/files/forceTable';
import { dampingOfRows } from '../../src/review/dampingOfRows';
import { curvesOf, settingOfRow } from '../../src/review/referenceCurves';
import { createRandom } from '../simulator/random';
import { aResult, DELIVERY, GAS, referenceDamping } from './scenario';

describe('damping of the rows of a table', () => {
  it('at the planned speed is on the straight line that was measured, wherever the bench ended up', () => {
    const random = createRandom(5);
    const table = aResult({
      row: (row) => {
        const achieved = row.velocity * random.uniform(0.985, 1.015);
        return {
          ...row,
          compression: GAS + referenceDamping('compression', achieved),
          rebound: GAS + referenceDamping('rebound', achieved),
          measured: { ...row.measured!, compressionVelocity: achieved, reboundVelocity: achieved },
        };
      },
    });
    table.rows.forEach(({ velocity }, i) => {
      for (const side of SIDES)
        expect(dampingOfRows(table).at(i, side, velocity)).toBeCloseTo(referenceDamping(side, velocity), 6);
    });
  });

  it('is moved along its own curve to any speed, in a second pass too, and is not known without force or gas', () => {
    const random = createRandom(6);
    const scattered = (row: ForceRow): ForceRow => ({
      ...row,
      compression: row.compression + 40 * random.normal(),
      measured: { ...row.measured!, compressionVelocity: row.velocity * random.uniform(0.99, 1.01) },
    });
    const known = aResult({ settings: [DELIVERY, [8, 3, 7]], row: scattered });
    const once = aResult({
      settings: [DELIVERY, [8, 3, 7]],
      row: (row) => ({
        ...scattered(row),
        ...(row.velocity === 0.4 && { rebound: NaN }),
        ...(row.velocity === 0.8 && { gas: NaN }),
      }),
    });
    const twice = { ...once, rows: [...once.rows, ...once.rows.map((row) => ({ ...row, pass: 2 }))] };
    const falling = { ...once, rows: [...once.rows].reverse() };
    for (const table of [once, known, twice, falling])
      table.rows.forEach((row, i) => {
        for (const side of SIDES)
          for (const at of [row.velocity, row.velocity * 1.01, row.velocity]) {
            const curves = curvesOf(table).at(settingOfRow(table, row));
            const speed = row.measured![`${side}Velocity`];
            const expected = row[side] - (row.gas ?? GAS) + curves.damping(side, at) - curves.damping(side, speed);
            expect(dampingOfRows(table).at(i, side, at)).toBe(speed === at ? row[side] - (row.gas ?? GAS) : expected);
          }
      });
  });
});
