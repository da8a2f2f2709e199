import type { Side } from '../../src/analysis/side';

/** Where the rod is: displacement from mid-stroke [m] and velocity [m/s], positive in compression. */
export interface Place {
  readonly displacement: number;
  readonly velocity: number;
}

/** Place at a phase [cycles; 0 at the outer turning point]. `side` settles on which side of a turning point a triangle's corner is read. */
export function placeAtPhase(
  drive: 'sine' | 'triangle',
  stroke: number,
  phase: number,
  frequency: number,
  side: Side,
): Place {
  const amplitude = stroke / 2;
  if (drive === 'sine') {
    const angle = 2 * Math.PI * phase;
    return {
      displacement: -amplitude * Math.cos(angle),
      velocity: 2 * Math.PI * frequency * amplitude * Math.sin(angle),
    };
  }
  const sign = side === 'compression' ? 1 : -1;
  const fromMiddle = phase - (side === 'compression' ? 0.25 : 0.75);
  return {
    displacement: sign * 4 * amplitude * (fromMiddle - Math.round(fromMiddle)),
    velocity: sign * 4 * amplitude * frequency,
  };
}

/** Share of a cycle after a turning point at which this much travel is done. */
export function phaseOfTravel(drive: 'sine' | 'triangle', travel: number, stroke: number): number {
  if (travel >= stroke) return 0.5;
  return drive === 'sine' ? Math.acos(1 - (2 * travel) / stroke) / (2 * Math.PI) : travel / (2 * stroke);
}
