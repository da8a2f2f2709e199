/**
 * Peak speed of a bench [m/s] from its travel between turning points [m] and its cycles per minute: pi S n / 60 of a sine, as a crank
 * without the ratio of a connecting rod gives it (QC/T 545-1999, 1.3); 2 S n / 60 at constant speed.
 */
export function benchSpeed(drive: 'sine' | 'triangle', stroke: number, cyclesPerMinute: number): number {
  return (travelPerCycle(drive, stroke) * cyclesPerMinute) / 60;
}

/** Cycles per minute that give a peak speed [m/s] over a stroke [m]. */
export function cyclesPerMinuteFor(drive: 'sine' | 'triangle', stroke: number, speed: number): number {
  return (60 * speed) / travelPerCycle(drive, stroke);
}

/** Peak speed over frequency [m]. */
function travelPerCycle(drive: 'sine' | 'triangle', stroke: number): number {
  return (drive === 'sine' ? Math.PI : 2) * stroke;
}
