import type { JudgedResult } from './judgedResult';
import type { JudgedPoints } from './judgePoints';

/** A result without its points. */
export type PlainResult = Omit<JudgedResult, 'points' | 'bands' | 'worstPoint'>;

const POINTS = Symbol('points');

interface Holder {
  readonly [POINTS]: JudgedPoints;
}

/**
 * Gives a result its points, bands and worst point, each made when it is first asked for; in a copy of the result they are made.
 * All results share the getters, as getters of each one's own take three times as long to set up.
 */
export function withPoints(result: PlainResult, judged: JudgedPoints): JudgedResult {
  Object.defineProperty(result, POINTS, { value: judged });
  return Object.defineProperties(result, MADE_WHEN_ASKED) as PlainResult & Pick<JudgedResult, 'points' | 'bands'>;
}

const MADE_WHEN_ASKED: PropertyDescriptorMap & ThisType<Holder> = {
  points: {
    enumerable: true,
    configurable: true,
    get() {
      return this[POINTS].points;
    },
  },
  bands: {
    enumerable: true,
    configurable: true,
    get() {
      return this[POINTS].bands;
    },
  },
  worstPoint: {
    enumerable: true,
    configurable: true,
    get() {
      return this[POINTS].worstPoint;
    },
  },
};
