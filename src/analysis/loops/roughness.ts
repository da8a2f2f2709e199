import type { Cycle, Stroke } from '../motion/cycle';
import type { Side } from '../side';

/** Looked at within this phase of peak speed [rad], so that neither turning point is in it. */
const PHASE_REACH = 0.9;
/** Half width of the local quadratic [rad], and at most in samples. */
const HALF_WIDTH = 0.2;
const MOST_SAMPLES = 60;
/** On a constant-speed drive there is no phase: shares of the moving part of the stroke (10 to 90 % of travel) instead. */
const PLATEAU_REACH = 0.35;
const PLATEAU_HALF_WIDTH = 0.1;
/** Places a stroke is looked at; more would repeat the same samples. */
const PLACES = 60;

/**
 * Gathers, over the strokes of one side of a step, the force that a local quadratic does not explain: what chatter, stick-slip or a
 * scored tube leave. With white noise alone its mean square equals the noise's variance, whatever the window.
 * Source: Savitzky and Golay, least-squares quadratic smoothing; the residual at the middle has variance sigma^2 (1 - h0), with h0
 * the middle weight.
 */
export class Roughness {
  private sum = 0;
  private samples = 0;

  add(cycle: Cycle, side: Side): void {
    const stroke = side === 'compression' ? cycle.compression : cycle.rebound;
    const reach = reachOf(stroke);
    const half = Math.min(MOST_SAMPLES, Math.round(reach.halfWidth / cycle.sampleInterval));
    if (half < 2) return;
    const { time: t } = cycle.samples;
    let first = Math.max(stroke.firstIndex, cycle.marginFrom + half);
    let end = Math.min(stroke.lastIndex, cycle.marginTo - half);
    while (first < end && t[first]! < stroke.peakTime - reach.time) first++;
    while (end > first && t[end - 1]! > stroke.peakTime + reach.time) end--;
    this.addPlaces(cycle.samples.force, first, end, half);
  }

  merge(other: Roughness): void {
    this.sum += other.sum;
    this.samples += other.samples;
  }

  result(): { readonly meanSquare: number; readonly samples: number } {
    return { meanSquare: this.samples > 0 ? this.sum / this.samples : NaN, samples: this.samples };
  }

  private addPlaces(f: Float64Array, first: number, end: number, half: number): void {
    let s2 = 0;
    let s4 = 0;
    for (let j = 1; j <= half; j++) {
      s2 += 2 * j * j;
      s4 += 2 * j * j * j * j;
    }
    const determinant = (2 * half + 1) * s4 - s2 * s2;
    const middleWeight = s4 / determinant;
    const stride = Math.max(1, Math.floor((end - first) / PLACES));
    for (let i = first; i < end; i += stride) {
      let plain = f[i]!;
      let curved = 0;
      for (let j = 1; j <= half; j++) {
        const pair = f[i - j]! + f[i + j]!;
        plain += pair;
        curved += j * j * pair;
      }
      const unexplained = f[i]! - (s4 * plain - s2 * curved) / determinant;
      this.sum += (unexplained * unexplained) / (1 - middleWeight);
      this.samples += 1;
    }
  }
}

function reachOf(stroke: Stroke): { readonly time: number; readonly halfWidth: number } {
  if (stroke.plateau || !(stroke.phaseRate > 0)) {
    const body = stroke.t90 - stroke.t10;
    return { time: PLATEAU_REACH * body, halfWidth: PLATEAU_HALF_WIDTH * body };
  }
  return { time: PHASE_REACH / stroke.phaseRate, halfWidth: HALF_WIDTH / stroke.phaseRate };
}
