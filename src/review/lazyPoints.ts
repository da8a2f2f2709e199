import type { JudgedPoint, JudgedResult } from './judgedResult';
import type { JudgedPoints } from './judgePoints';

/** A result without its points. */
export type PlainResult = Omit<JudgedResult, 'points' | 'bands'>;

const POINTS = Symbol('points');

interface Holder {
  readonly [POINTS]: JudgedPoints;
}

/** The point that `worst` names: by itself where the points of the result are still to be made, as a line for a pass needs no other one. */
export function worstPointOf(result: JudgedResult): JudgedPoint | undefined {
  const held = (result as Partial<Holder>)[POINTS];
  if (held !== undefined) return held.worstPoint;
  return result.worst === undefined ? undefined : result.points[result.worst];
}

/**
 * Gives a result its points and bands, made when they are first asked for; in a copy of the result they are made.
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
};
