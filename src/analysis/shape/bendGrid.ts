import { roughSoftPlus } from './softPlus';

/** How gradual the bend may be, as a share of the knee's speed: from an edge to a wide curve. */
export const SOFTNESS = [0.02, 0.15, 0.3];
/** The sharpest bend that is tried. */
export const SHARP = SOFTNESS[0]!;
/** Knees that are tried with each softness. */
export const KNEES = 60;
/** So many knees of the grid lie within about a third of a bend's width, by softness: the first round of a search skips them. */
export const STRIDES = [1, 2, 4];

const BENDS = SOFTNESS.length * KNEES;

/** Where two slopes meet, and how softly. */
export interface Bend {
  readonly knee: number;
  /** Share of the knee's speed. */
  readonly softness: number;
}

/**
 * Bends to try: knees on a logarithmic grid between the second and the second-last speed, each with every softness; softness x KNEES +
 * knee is the index of one. What a bend adds to a line, at every speed, is computed once for all forces taken at these speeds: result and
 * reference of a side.
 */
export class BendGrid {
  speeds: readonly number[] = [];
  /** Ends of the knees' range. */
  first = NaN;
  last = NaN;
  /** Columns one after the other, ln(1 + exp(z)) at every speed within ROUGH_ERROR; behind them one for a bend beside the grid. */
  columns = new Float64Array(0);
  readonly #filled = new Uint8Array(BENDS);
  /** To within rounding: a power each takes as long as the rest of a column. */
  readonly #knees = new Float64Array(KNEES);

  /** From one knee to the next. */
  get cell(): number {
    return (this.last / this.first) ** (1 / (KNEES - 1));
  }

  /** Turns to other speeds. */
  begin(speeds: readonly number[]): void {
    const n = speeds.length;
    this.speeds = speeds.slice();
    this.first = speeds[1]!;
    this.last = speeds[n - 2]!;
    const size = (BENDS + 1) * n;
    if (this.columns.length < size) this.columns = new Float64Array(size);
    this.#filled.fill(0);
    const { cell } = this;
    let knee = this.first;
    for (let i = 0; i < KNEES; i++, knee *= cell) this.#knees[i] = knee;
  }

  /** The bend of an index. */
  bend(index: number): Bend {
    const share = (index % KNEES) / (KNEES - 1);
    return { knee: this.first * (this.last / this.first) ** share, softness: SOFTNESS[Math.floor(index / KNEES)]! };
  }

  /** The knee of an index, to within rounding. */
  knee(index: number): number {
    return this.#knees[index % KNEES]!;
  }

  /** Where the column of an index begins. */
  column(index: number): number {
    const at = index * this.speeds.length;
    if (this.#filled[index] === 0) {
      this.#filled[index] = 1;
      const row = Math.floor(index / KNEES);
      this.#fill(at, this.#knees[index - row * KNEES]!, SOFTNESS[row]!);
    }
    return at;
  }

  /** Where the column of a bend beside the grid begins, until the next one is asked for. */
  columnBeside(knee: number, softness: number): number {
    const at = BENDS * this.speeds.length;
    this.#fill(at, knee, softness);
    return at;
  }

  #fill(at: number, knee: number, softness: number): void {
    const scale = 1 / (knee * softness);
    const middle = 1 / softness;
    const { speeds, columns } = this;
    for (let i = 0; i < speeds.length; i++) columns[at + i] = roughSoftPlus(speeds[i]! * scale - middle);
  }
}

const grid = new BendGrid();

/** The grid of these speeds, until it is asked for others. */
export function bendGridOf(speeds: readonly number[]): BendGrid {
  const { speeds: present } = grid;
  let same = present.length === speeds.length;
  for (let i = 0; same && i < speeds.length; i++) same = present[i] === speeds[i];
  if (!same) grid.begin(speeds);
  return grid;
}
