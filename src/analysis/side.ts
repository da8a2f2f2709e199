/** Compression: rod moving in, drawn above the velocity axis. Rebound: rod moving out, below it. */
export type Side = 'compression' | 'rebound';
export const SIDES: readonly Side[] = ['compression', 'rebound'];
/** +1 in compression, -1 in rebound: multiplies a magnitude into the sign convention of displacement, velocity and force. */
export const SIDE_SIGN: Readonly<Record<Side, 1 | -1>> = { compression: 1, rebound: -1 };

/** How the bench drives the damper: `triangle` is constant speed between turning points. */
export type Drive = 'sine' | 'triangle' | 'other';
