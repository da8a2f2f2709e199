import type { SimulatedBench } from './bench';
import { displacementDriftAt } from './bench';
import type { DamperFaults } from './damper';
import type { Place } from './driveShape';
import type { RandomSource } from './random';

export interface RecordedColumns {
  readonly time: Float64Array;
  readonly displacement: Float64Array;
  readonly force: Float64Array;
  readonly velocity?: Float64Array;
  readonly temperature: Float64Array;
  readonly stepOfRow: Int32Array;
  readonly cleanForce: Float64Array;
}

/** The bench's sensors: adds their errors to what truly happens and keeps the rows. */
export class Recorder {
  rows = 0;
  private readonly bench: SimulatedBench;
  private readonly duration: number;
  private readonly random: RandomSource;
  private readonly chatter: DamperFaults['chatter'];
  private readonly time: Float64Array;
  private readonly displacement: Float64Array;
  private readonly force: Float64Array;
  private readonly velocity: Float64Array;
  private readonly temperature: Float64Array;
  private readonly stepOfRow: Int32Array;
  private readonly cleanForce: Float64Array;

  constructor(bench: SimulatedBench, duration: number, random: RandomSource, chatter: DamperFaults['chatter']) {
    this.bench = bench;
    this.duration = duration;
    this.random = random;
    this.chatter = chatter;
    const most = Math.ceil(duration * bench.sampleRate) + 2;
    this.time = new Float64Array(most);
    this.displacement = new Float64Array(most);
    this.force = new Float64Array(most);
    this.velocity = new Float64Array(bench.velocityChannel ? most : 0);
    this.temperature = new Float64Array(most);
    this.stepOfRow = new Int32Array(most);
    this.cleanForce = new Float64Array(most);
  }

  record(sample: number, place: Place, force: number, temperature: number, step: number): void {
    const { bench, random, rows } = this;
    const time = sample / bench.sampleRate;
    const wander = displacementDriftAt(bench.displacementDrift, time / this.duration);
    const displacement = place.displacement + bench.displacementZero + wander;
    this.time[rows] = time;
    this.displacement[rows] = inSteps(noisy(displacement, bench.displacementNoise, random), bench.displacementStep);
    this.force[rows] = this.readForce(time, place.velocity, force);
    this.cleanForce[rows] = force;
    const channel = bench.velocityChannel;
    if (channel) this.velocity[rows] = inSteps(noisy(place.velocity, channel.noise, random), channel.step);
    this.temperature[rows] = inSteps(noisy(temperature, bench.temperatureNoise, random), bench.temperatureStep);
    this.stepOfRow[rows] = step;
    this.rows++;
  }

  columns(): RecordedColumns {
    const { rows } = this;
    return {
      time: this.time.subarray(0, rows),
      displacement: this.displacement.subarray(0, rows),
      force: this.force.subarray(0, rows),
      ...(this.bench.velocityChannel ? { velocity: this.velocity.subarray(0, rows) } : {}),
      temperature: this.temperature.subarray(0, rows),
      stepOfRow: this.stepOfRow.subarray(0, rows),
      cleanForce: this.cleanForce.subarray(0, rows),
    };
  }

  private readForce(time: number, velocity: number, force: number): number {
    const { bench, random, chatter } = this;
    let read = noisy(force, bench.forceNoise, random);
    if (chatter) {
      const speed = chatter.side === 'compression' ? velocity : -velocity;
      // A slow swing of the phase keeps the chatter from locking to the drive.
      const angle = 2 * Math.PI * chatter.frequency * time + 0.7 * Math.sin(91 * time);
      if (speed > chatter.aboveSpeed) read += chatter.rms * Math.SQRT2 * Math.sin(angle);
    }
    const limit = bench.forceLimit ?? Infinity;
    return inSteps(Math.min(Math.max(read, -limit), limit), bench.forceStep);
  }
}

function noisy(value: number, deviation: number, random: RandomSource): number {
  return deviation > 0 ? value + deviation * random.normal() : value;
}

/** The nearest multiple of the resolution. */
function inSteps(value: number, step: number): number {
  return step > 0 ? Math.round(value / step) * step : value;
}
