import { describe, expect, it } from 'vitest';
import { readCorner } from '../../src/files/readCorner';
import { bytesOf, onlyProblem, told } from './support';

const FILE = 'cars/trainer-front.corner.yaml';
const TEXT = `formatVersion: 1
id: trainer-front
spec: alder-front
sprungMass: 310 kg
springRate: 60 N/mm
motionRatio: 0.95
tyreRate: 250 kN/m
bumpTravel: 45 mm
`;

describe('readCorner', () => {
  it('arrives in SI', () => {
    const { corner, problems } = readCorner(FILE, bytesOf(TEXT));
    expect(problems).toEqual([]);
    expect(JSON.parse(JSON.stringify(corner))).toEqual({
      file: FILE,
      id: 'trainer-front',
      spec: 'alder-front',
      sprungMass: 310,
      springRate: 60_000,
      motionRatio: 0.95,
      tyreRate: 250_000,
      bumpTravel: 0.045,
    });
    expect(corner!.positionOf('springRate').line).toBe(5);
  });

  it.each([
    [
      'springRate: 60 N/mm',
      'springRate: 60 N',
      { rule: 'unit-mismatch', line: 5, key: 'springRate', value: '60 N', message: /a spring rate/ },
    ],
    [
      'springRate: 60 N/mm',
      'springRate: 340 lb/in',
      { rule: 'unit-mismatch', line: 5, value: '340 lb/in', remedy: /lbf\/in/ },
    ],
    ['motionRatio: 0.95', 'motionRatio: -1', { line: 6, key: 'motionRatio', value: '-1', remedy: /0.95/ }],
    ['sprungMass: 310 kg', 'sprungmass: 310 kg', { line: 4, value: 'sprungmass', remedy: /sprungMass/ }],
  ])('%s written as %s', (good, bad, expected) => {
    const { corner, problems } = readCorner(FILE, bytesOf(TEXT.replace(good, bad)));
    expect(corner).toBeUndefined();
    const fault = told(problems.find((problem) => problem.position.line > 1) ?? onlyProblem(problems));
    for (const [key, value] of Object.entries(expected)) {
      if (value instanceof RegExp) expect(fault[key], key).toMatch(value);
      else expect(fault[key], key).toEqual(value);
    }
  });
});
