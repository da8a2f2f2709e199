import { SIDE_SIGN } from '../analysis/side';
import { changeText } from '../review/changeText';
import type { BuildChange, Comparison } from '../review/comparison';
import type { JudgedResult } from '../review/judgedResult';
import type { RunToRun } from '../review/runToRun';
import { countText, percentText } from '../review/wording';
import { machine } from '../text/figures';
import type { ChangeEntry, RunToRunEntry } from './changeSchema';
import { finite, given } from './presentKeys';

/** How a result stands to the build before, to stand beside the word `Change`; undefined where a finding says it already. */
export function changeSentence({ change, findings }: JudgedResult): string | undefined {
  if (change === undefined || findings.some((finding) => finding.rule === 'change-significant')) return undefined;
  return changeText(change);
}

/** Whether remounting is in the uncertainty, and what that rests on. */
export function remountingSentence({ runToRun }: Pick<JudgedResult, 'runToRun'>): string {
  return runToRun === undefined ? 'Remounting is not in it.' : `Remounting is in it, ${repeatsText(runToRun)}.`;
}

/** `compression 0.31 %, rebound 0.27 % a run, from 7 runs of 2 dampers` */
export function runToRunText(runToRun: RunToRun): string {
  const { compression, rebound } = runToRun.spread;
  const share = (relative: number | undefined): string => percentText(machine.percent(relative ?? 0) / 100);
  return `compression ${share(compression?.relative)}, rebound ${share(rebound?.relative)} a run, ${repeatsText(runToRun)}`;
}

function repeatsText({ runs, units, from }: Pick<RunToRun, 'runs' | 'units' | 'from'>): string {
  const text = `from ${countText(runs, 'run')} of ${countText(units, 'damper')}`;
  return from === 'spec' ? text : `${text}, of the check standard`;
}

export function runToRunEntry(runToRun: RunToRun): RunToRunEntry {
  const { spread, covariance, runs, units, from } = runToRun;
  return {
    ...finite('compression_percent', spread.compression?.relative, percentOfRuns),
    ...finite('rebound_percent', spread.rebound?.relative, percentOfRuns),
    degreesOfFreedom: covariance.degreesOfFreedom,
    runs,
    dampers: units,
    from,
  };
}

/** Scatter of runs is a few tenths of a percent: a digit more than other percentages have. */
function percentOfRuns(fraction: number): number {
  return Number((fraction * 100).toFixed(3));
}

/** @param mean signed as force, as everywhere in the documents */
export function changeEntry(change: BuildChange, mean: Comparison['mean'], since?: string): ChangeEntry {
  const { repeats, power } = change;
  return {
    ...given('since', since),
    significant: change.significant,
    p: Number(change.pValue.toPrecision(3)),
    tSquared: machine.size(change.tSquared),
    ...finite('compression_harder_percent', hardened(mean.compression, 'compression'), machine.percent),
    ...finite('rebound_harder_percent', hardened(mean.rebound, 'rebound'), machine.percent),
    power: power.map((p) => ({
      change_percent: machine.percent(p.change),
      probability_percent: machine.percent(p.probability),
    })),
    bench: change.bench,
    degreesOfFreedom: repeats.degreesOfFreedom,
    runs: repeats.runs,
    dampers: repeats.units,
    from: repeats.from,
  };
}

function hardened(mean: number | undefined, side: 'compression' | 'rebound'): number | undefined {
  return mean === undefined ? undefined : SIDE_SIGN[side] * mean;
}
