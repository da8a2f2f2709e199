import type { ComparedPoint, ComparedRun, Comparison } from '../review/comparison';
import { machine } from '../text/figures';
import { changeEntry } from './changeParts';
import type { ComparisonDocument } from './comparisonSchema';
import { finite, given, nested } from './presentKeys';

/** What `compare --format json` prints: both runs point by point in N and mm/s, rounded like the review document. */
export function comparisonDocument(comparison: Comparison): ComparisonDocument {
  return {
    formatVersion: 1,
    a: runEntry(comparison.a),
    b: runEntry(comparison.b),
    statement: comparison.statement,
    mean: {
      ...finite('compression_percent', comparison.mean.compression, machine.percent),
      ...finite('rebound_percent', comparison.mean.rebound, machine.percent),
    },
    ...given('change', comparison.change && changeEntry(comparison.change, comparison.mean)),
    points: comparison.points.flatMap(pointEntry),
    onlyA: comparison.onlyA.map(rowEntry),
    onlyB: comparison.onlyB.map(rowEntry),
    basis: [...comparison.basis],
    specChanges: comparison.specChanges.map((change) => ({ ...change })),
  };
}

function runEntry(run: ComparedRun): ComparisonDocument['a'] {
  return {
    label: run.label,
    file: run.file,
    spec: run.specId,
    serial: run.serial,
    build: run.build,
    ...given('date', run.date),
    ...given('bench', run.bench),
  };
}

function pointEntry(point: ComparedPoint): ComparisonDocument['points'] {
  if (!Number.isFinite(point.a) || !Number.isFinite(point.b)) return [];
  return [
    {
      setting: nested(point.setting),
      ...(point.pass > 1 && { pass: point.pass }),
      side: point.side,
      velocity_mm_s: machine.speed(point.velocity),
      a_N: machine.force(point.a),
      b_N: machine.force(point.b),
      difference_N: machine.force(point.difference),
      ...finite('difference_percent', point.relative, machine.percent),
      ...finite('uncertainty_N', point.uncertainty, machine.force),
      ...given('direction', point.direction),
      beyondScatter: point.beyondScatter,
    },
  ];
}

function rowEntry(row: Comparison['onlyA'][number]): ComparisonDocument['onlyA'][number] {
  return { setting: nested(row.setting), velocity_mm_s: machine.speed(row.velocity) };
}
