import type { ReducedLog, ReducedStep } from '../reducedLog';
import type { StepKey } from '../runAnalysis';

/** A step of a run with all that later analysis asks of its place in it. */
export interface RunStep {
  readonly key: StepKey;
  readonly log: ReducedLog;
  readonly step: ReducedStep;
  readonly setting: readonly number[];
  /** The setting as text, to group by. */
  readonly settingName: string;
  /** 1 for the first time this setting and speed are run, 2 and on for repeats. */
  readonly pass: number;
  /** Mean peak speed of both sides [m/s]. */
  readonly speed: number;
}

/** Steps whose speeds are this close are the same speed run again, as cycles of one step may differ by as much. */
const SAME_SPEED = 0.025;

/**
 * The steps of all logs in their order.
 * @param settings full setting of each log whose steps have none of their own.
 * @param skip logs to leave out, by index.
 */
export function stepsOfRun(
  logs: readonly ReducedLog[],
  settings: readonly (readonly number[])[],
  skip: (log: number) => boolean,
): RunStep[] {
  const steps: RunStep[] = [];
  logs.forEach((log, logIndex) => {
    if (skip(logIndex)) return;
    log.steps.forEach((step, stepIndex) => {
      const setting = step.setting.length > 0 ? step.setting : (settings[logIndex] ?? []);
      const settingName = setting.join(' ');
      const speed = (step.compression.peakSpeed + step.rebound.peakSpeed) / 2;
      const before = steps.filter(
        (s) => s.settingName === settingName && sameSpeed(s.speed, speed) && sameStroke(s.step, step),
      );
      steps.push({
        key: { log: logIndex, step: stepIndex },
        log,
        step,
        setting,
        settingName,
        pass: before.length + 1,
        speed,
      });
    });
  });
  return steps;
}

export function sameSpeed(a: number, b: number): boolean {
  return Math.abs(a - b) <= SAME_SPEED * Math.max(a, b);
}

function sameStroke(a: ReducedStep, b: ReducedStep): boolean {
  return Math.abs(a.amplitude - b.amplitude) <= 0.05 * Math.max(a.amplitude, b.amplitude);
}

/** Steps of each setting, in the order in which the settings come first. */
export function bySetting(steps: readonly RunStep[]): readonly (readonly RunStep[])[] {
  const groups = new Map<string, RunStep[]>();
  for (const step of steps) {
    const group = groups.get(step.settingName);
    if (group === undefined) groups.set(step.settingName, [step]);
    else group.push(step);
  }
  return [...groups.values()];
}

/** Runs of neighbouring steps of one log at one setting. */
export function stretches(steps: readonly RunStep[]): readonly (readonly RunStep[])[] {
  const found: RunStep[][] = [];
  for (const step of steps) {
    const last = found.at(-1)?.at(-1);
    if (last?.settingName === step.settingName && last.key.log === step.key.log) found.at(-1)!.push(step);
    else found.push([step]);
  }
  return found;
}
