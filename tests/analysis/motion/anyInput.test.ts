import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { SampleChunk } from '../../../src/analysis/motion/sampleChunk';
import { reduceLog } from '../../../src/analysis/reduceLog';
import { createRandom } from '../../simulator/random';
import { cut } from './drawnMotion';
import { thorough } from '../../thorough';

/** Motions that no bench makes: walks, jumps, stuck channels, time that stops or runs back, settings that flicker. */
function strangeLog(seed: number, rows: number, step: number, jumps: number, coarse: number): SampleChunk {
  const random = createRandom(seed);
  let time = 0;
  let place = 0;
  let speed = 0;
  const columns = {
    time: [] as number[],
    displacement: [] as number[],
    force: [] as number[],
    velocity: [] as number[],
    setting: [] as number[],
  };
  for (let i = 0; i < rows; i++) {
    time += random.chance(jumps) ? random.uniform(-1, 2) : 0.001;
    speed = random.chance(step) ? random.normal() : speed - 0.02 * place * 50;
    place += random.chance(jumps) ? random.normal() : 0.002 * speed;
    columns.time.push(time);
    columns.displacement.push(Math.round(place / coarse) * coarse);
    columns.force.push(random.chance(0.01) ? 1e308 * random.normal() : Math.round(500 * speed));
    columns.velocity.push(random.chance(0.01) ? 0 : speed * 2);
    columns.setting.push(random.chance(jumps) ? random.integer(0, 2) : 1);
  }
  const column = (values: number[]): Float64Array => Float64Array.from(values);
  return {
    firstRow: 0,
    rows,
    time: column(columns.time),
    displacement: column(columns.displacement),
    force: column(columns.force),
    velocity: column(columns.velocity),
    adjusters: [column(columns.setting)],
  };
}

describe('reduceLog on any input', () => {
  it('ends, holds its promises about rows and order, and does not depend on the chunks', async () => {
    const logs = fc.record({
      seed: fc.integer(),
      rows: fc.integer({ min: 0, max: 3000 }),
      step: fc.constantFrom(0, 0.001, 0.01, 0.5),
      jumps: fc.constantFrom(0, 0.001, 0.05),
      coarse: fc.constantFrom(1e-6, 1e-3, 0.1),
      portion: fc.integer({ min: 1, max: 700 }),
    });
    let withSteps = 0;
    await fc.assert(
      fc.asyncProperty(logs, async ({ seed, rows, step, jumps, coarse, portion }) => {
        const chunk = strangeLog(seed, rows, step, jumps, coarse);
        const log = await reduceLog(cut(chunk, 5000), { adjusters: 1 });
        expect(await reduceLog(cut(chunk, portion), { adjusters: 1, keptValues: 0 })).toStrictEqual(log);
        if (log.steps.length > 0) withSteps++;
        let last = -1;
        for (const found of log.steps) {
          expect(found.firstRow).toBeGreaterThanOrEqual(last);
          expect(found.lastRow).toBeGreaterThan(found.firstRow);
          expect(found.cyclesFound).toBeGreaterThanOrEqual(2);
          expect(found.cyclesUsed).toBe(found.cyclesFound >= 3 ? found.cyclesFound - 1 : 2);
          expect(found.cycles.energy.length).toBe(found.cyclesFound);
          last = found.lastRow - 1;
        }
        for (const event of log.events) expect(event.row).toBeLessThan(Math.max(1, rows));
        expect(log.steps.length > 0 || log.events.some((event) => event.kind === 'no-step')).toBe(true);
      }),
      {
        ...{ numRuns: thorough ? 3000 : 120, seed: 20_260_314 },
        // Rows that a gap was judged by had left the buffer by then.
        examples: [[{ seed: -818_642_007, rows: 2964, step: 0, jumps: 0.05, coarse: 1e-6, portion: 1 }]],
      },
    );
    expect(withSteps).toBeGreaterThan(12);
  });
});
