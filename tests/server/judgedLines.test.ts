import { describe, expect, it } from 'vitest';
import { linesBefore } from '../../src/server/judgedLines';

describe('lines of an edited text', () => {
  const before = ['a', 'b', 'b', 'c'];
  it.each([
    [
      ['a', 'b', 'b', 'c'],
      [0, 1, 2, 3],
    ],
    [
      ['x', 'a', 'b', 'b', 'c'],
      [undefined, 0, 1, 2, 3],
    ],
    [
      ['a', 'b', 'c'],
      [0, 1, 3],
    ],
    [
      ['a', 'b', 'b', 'b', 'c'],
      [0, 1, 2, undefined, 3],
    ],
    [
      ['a', 'x', 'b', 'c'],
      [0, undefined, 2, 3],
    ],
    [
      ['a', 'b', 'b', 'c', 'd'],
      [0, 1, 2, 3, undefined],
    ],
    [[], []],
    [['q'], [undefined]],
  ])('%j stood at %j', (now, stood) => {
    expect(now.map((_, line) => linesBefore(before, now)(line))).toEqual(stood);
  });
});
