import type { ReducedLog, ReducedStep } from '../reducedLog';

/** Loss of damping with heat, from an endurance run. */
export interface TemperatureCoefficient {
  /** Share of damping force lost a kelvin [1/K]; positive where the damper softens as it heats. */
  readonly perKelvin: number;
  /** Standard uncertainty of it [1/K]. */
  readonly u: number;
  readonly df: number;
  readonly cycles: number;
  /** Coolest and hottest cycle [K]. */
  readonly range: readonly [number, number];
}

/** Less warming than this within a step [K], or fewer cycles, tell noise rather than heat. */
const LEAST_RANGE = 5;
const LEAST_CYCLES = 10;

interface HeatedStep {
  readonly temperature: readonly number[];
  /** ln of compression less rebound force at peak speed: gas force, which grows with heat, cancels. */
  readonly logForce: readonly number[];
}

/**
 * Straight line of ln(D_c - D_r) on temperature, its slope common to all steps, each step with a level of its own. Compression and
 * rebound are told as one: apart they could not be freed of gas force, which the heat raises too.
 *
 * @param logs endurance logs with temperature. @returns undefined where no step warms by 5 K over ten cycles
 */
export function temperatureCoefficient(logs: readonly ReducedLog[]): TemperatureCoefficient | undefined {
  const steps = logs.flatMap((log) => log.steps).flatMap(heatedStep);
  let cycles = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (const { temperature, logForce } of steps) {
    const [t, f] = [meanOf(temperature), meanOf(logForce)];
    cycles += temperature.length;
    temperature.forEach((value, i) => {
      const [x, y] = [value - t, logForce[i]! - f];
      xx += x * x;
      xy += x * y;
      yy += y * y;
    });
  }
  const df = cycles - steps.length - 1;
  if (steps.length === 0 || df < 1 || !(xx > 0)) return undefined;
  const residual = Math.max(0, yy - (xy * xy) / xx) / df;
  const temperatures = steps.flatMap(({ temperature }) => temperature);
  return {
    perKelvin: -xy / xx,
    u: Math.sqrt(residual / xx),
    df,
    cycles,
    range: [Math.min(...temperatures), Math.max(...temperatures)],
  };
}

function heatedStep({ cycles }: ReducedStep): HeatedStep[] {
  if (cycles.temperature === undefined) return [];
  const temperature: number[] = [];
  const logForce: number[] = [];
  for (let i = cycles.firstUsed; i < cycles.startTime.length; i++) {
    const span = cycles.compressionForce[i]! - cycles.reboundForce[i]!;
    const kelvin = cycles.temperature[i]!;
    if (!(span > 0) || !Number.isFinite(kelvin)) continue;
    temperature.push(kelvin);
    logForce.push(Math.log(span));
  }
  const warmed =
    temperature.length >= LEAST_CYCLES && Math.max(...temperature) - Math.min(...temperature) >= LEAST_RANGE;
  return warmed ? [{ temperature, logForce }] : [];
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
