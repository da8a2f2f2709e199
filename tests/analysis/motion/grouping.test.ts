import { describe, expect, it } from 'vitest';
import type { ReducedLog } from '../../../src/analysis/reducedLog';
import { reduceDrawn } from './drawnMotion';

/** Cycles drawn one after the other from their lower turning point, which stays where it is. */
function cycles(list: readonly { readonly amplitude: number; readonly frequency: number }[]): Promise<ReducedLog> {
  const starts: number[] = [];
  let seconds = 0;
  for (const { frequency } of list) {
    starts.push(seconds);
    seconds += 1 / frequency;
  }
  const displacement = (time: number): number => {
    const index = Math.max(
      0,
      starts.findLastIndex((start) => start <= time),
    );
    const { amplitude, frequency } = list[index]!;
    const phase = Math.min(1, Math.max(0, (time - starts[index]!) * frequency));
    return amplitude * (1 - Math.cos(2 * Math.PI * phase));
  };
  return reduceDrawn({ seconds, displacement });
}

const repeated = (count: number, amplitude: number, frequency: number) =>
  Array.from({ length: count }, () => ({ amplitude, frequency }));

describe('cycles of one step', () => {
  it('may wander 3 % in speed while the period holds, as the stroke of a shaking table does', async () => {
    const { steps } = await cycles([...repeated(5, 0.02, 1), ...repeated(5, 0.02 * 0.972, 1)]);
    expect(steps.map((step) => step.cyclesFound)).toEqual([10]);
  });

  it('may not where the period changes with the speed', async () => {
    const { steps } = await cycles([...repeated(5, 0.02, 1), ...repeated(5, 0.02, 0.972)]);
    expect(steps.map((step) => step.cyclesFound)).toEqual([5, 5]);
  });

  it('and 4 % are two steps though the period holds', async () => {
    const { steps } = await cycles([...repeated(5, 0.02, 1), ...repeated(5, 0.02 * 1.04, 1)]);
    expect(steps.map((step) => step.cyclesFound)).toEqual([5, 5]);
  });
});
