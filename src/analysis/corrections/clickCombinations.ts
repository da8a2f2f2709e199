/** More combinations than this are not tried one by one. */
const MOST_COMBINATIONS = 20_000;

interface Range {
  readonly position: number;
  readonly allowed: readonly number[];
}

/** Every combination of allowed positions; where there are too many, of those nearest to the present ones. */
export function allowedCombinations(adjusters: readonly Range[]): {
  readonly combinations: readonly (readonly number[])[];
  readonly complete: boolean;
} {
  const count = adjusters.reduce((product, { allowed }) => product * allowed.length, 1);
  const complete = count <= MOST_COMBINATIONS;
  const each = Math.max(2, Math.floor(MOST_COMBINATIONS ** (1 / Math.max(1, adjusters.length))));
  const lists = adjusters.map(({ allowed, position }) =>
    complete ? allowed : [...allowed].sort((a, b) => Math.abs(a - position) - Math.abs(b - position)).slice(0, each),
  );
  return {
    combinations: lists.reduce<readonly (readonly number[])[]>(
      (built, list) => built.flatMap((one) => list.map((position) => [...one, position])),
      [[]],
    ),
    complete,
  };
}
