import { METHOD_VERSION } from '../analysis/method';
import type { ComparedRun, Comparison } from '../review/comparison';
import { machine } from '../text/figures';
import { finite, given, nested } from './presentKeys';

/** One of both, as the user named it. */
function runEntry(run: ComparedRun): Record<string, unknown> {
  const { label, file, serial, build, specId } = run;
  return { label, file, spec: specId, serial, build, ...given('date', run.date), ...given('bench', run.bench) };
}

/** The comparison as one JSON document: damping forces in N, speeds in mm/s; absent keys are not known, never zero. */
export function comparisonDocument(comparison: Comparison): Record<string, unknown> {
  const rows = (list: Comparison['onlyA']): unknown[] =>
    list.map((row) => ({ setting: nested(row.setting), velocity_mm_s: machine.speed(row.velocity) }));
  const { compression, rebound } = comparison.mean;
  return {
    formatVersion: 1,
    method: METHOD_VERSION,
    a: runEntry(comparison.a),
    b: runEntry(comparison.b),
    statement: comparison.statement,
    meanDifference_percent: {
      ...given('compression', compression === undefined ? undefined : machine.percent(compression)),
      ...given('rebound', rebound === undefined ? undefined : machine.percent(rebound)),
    },
    points: comparison.points.map((point) => ({
      setting: nested(point.setting),
      ...given('pass', point.pass === 1 ? undefined : point.pass),
      side: point.side,
      velocity_mm_s: machine.speed(point.velocity),
      a_N: machine.force(point.a),
      b_N: machine.force(point.b),
      difference_N: machine.force(point.difference),
      ...finite('uncertainty_N', point.uncertainty, machine.force),
      ...given('difference_percent', point.relative === undefined ? undefined : machine.percent(point.relative)),
      ...given('direction', point.direction),
      beyondScatter: point.beyondScatter,
    })),
    onlyA: rows(comparison.onlyA),
    onlyB: rows(comparison.onlyB),
    basis: comparison.basis,
    specChanges: comparison.specChanges,
  };
}
