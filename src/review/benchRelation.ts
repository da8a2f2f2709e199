import type { BenchRelation, ComparedRun } from './comparison';
import { decimalText, forceText } from './wording';

/** How the benches of two runs stand to each other, by their names and by the day of the last calibration in damper-review.yaml. */
export function benchRelation(a: ComparedRun, b: ComparedRun): BenchRelation {
  if (a.bench === undefined || b.bench === undefined) return 'not stated';
  if (a.bench !== b.bench) return 'other bench';
  return calibratedBetween(a, b) === undefined ? 'same' : 'calibrated between';
}

/** What a reader must know of the benches before the difference is put down to the damper; undefined where it is one bench in one state. */
export function benchText(a: ComparedRun, b: ComparedRun): string | undefined {
  if (a.bench !== b.bench)
    return `Two benches: ${a.bench ?? 'not stated'} and ${b.bench ?? 'not stated'}; what differs between benches is not in the uncertainty.${loadCellsText(a, b)}`;
  const calibrated = calibratedBetween(a, b);
  return calibrated === undefined
    ? undefined
    : `Bench ${a.bench ?? ''} was calibrated on ${calibrated}, between the two tests; what that changed is not in the scatter of repeats.`;
}

/** The day of the calibration, where it lies between the two tests. A test on that day may have come before or after it. */
function calibratedBetween(a: ComparedRun, b: ComparedRun): string | undefined {
  const calibrated = a.benchData?.calibrated;
  if (calibrated === undefined || a.date === undefined || b.date === undefined) return undefined;
  const [first, last] = [a.date.slice(0, 10), b.date.slice(0, 10)].sort();
  return first! < calibrated && calibrated <= last! ? calibrated : undefined;
}

/** By how much two load cells may read apart though both are in calibration: root of the sum of squares of their U (JCGM 100:2008, 5.1.2). */
function loadCellsText(a: ComparedRun, b: ComparedRun): string {
  const [first, second] = [a.benchData, b.benchData];
  if (first === undefined || second === undefined) return '';
  const has = (U?: number, relative?: number): boolean => U !== undefined || relative !== undefined;
  if (!has(first.loadCellU, first.loadCellRelativeU) || !has(second.loadCellU, second.loadCellRelativeU)) return '';
  const U = Math.hypot(first.loadCellU ?? 0, second.loadCellU ?? 0);
  const relative = Math.hypot(first.loadCellRelativeU ?? 0, second.loadCellRelativeU ?? 0);
  const parts = [
    ...(U > 0 ? [forceText(U)] : []),
    ...(relative > 0 ? [`${decimalText(relative * 100, 2)} % of force`] : []),
  ];
  return parts.length === 0 ? '' : ` Their load cells alone may read ${parts.join(' and ')} apart (95 %).`;
}
