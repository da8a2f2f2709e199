import type { LoopMeasure, RunAnalysis } from '../analysis/runAnalysis';
import type { Setting } from '../files/spec';
import type { Finding } from '../review/finding';
import { DECISION_RULE } from '../review/decisionRule';
import type { JudgedPoint, JudgedResult, ReviewOutcome } from '../review/judgedResult';
import { machine } from '../text/figures';
import { jsonParts, ListInParts } from '../text/jsonParts';
import { changeEntry, runToRunEntry } from './changeParts';
import { adjusterKeys } from './adjustersJson';
import { correctionEntry } from './correctionJson';
import type { FindingEntry, GasEntry, LoopEntry, PointEntry, ResultEntry, ReviewDocument } from './reviewSchema';
import { normalisationEntry } from './normalisationParts';
import { given, finite, nested } from './presentKeys';
import { shapeEntry } from './shapeEntry';
import { plannedSpeedOf, settingOfVector } from './resultSettings';

/**
 * What `check --format json` prints: the outcome in the units of docs/formats.md (N, mm, mm/s, J), rounded to one
 * resolution a kind of number. Keys that a result cannot support are absent.
 */
export function reviewDocument(outcome: ReviewOutcome): ReviewDocument {
  return {
    ...headOf(outcome),
    results: outcome.results.map(resultEntry),
    findings: outcome.findings.map(findingEntry),
  };
}

/** The same as text, result by result. */
export function reviewDocumentParts(outcome: ReviewOutcome): Iterable<string> {
  return jsonParts({
    ...headOf(outcome),
    results: new ListInParts(outcome.results, resultEntry),
    findings: new ListInParts(outcome.findings, findingEntry),
  } satisfies Record<keyof ReviewDocument, unknown>);
}

function headOf({ method, verdict }: ReviewOutcome): Omit<ReviewDocument, 'results' | 'findings'> {
  return { formatVersion: 1, method, decisionRule: DECISION_RULE, verdict };
}

function resultEntry(result: JudgedResult): ResultEntry {
  const { analysis } = result;
  const logs = result.logs.filter((log) => log !== result.file);
  return {
    file: result.file,
    ...given('log', logs[0]),
    ...(result.logs.length > 1 && { logs: [...result.logs] }),
    spec: result.specId,
    serial: result.serial,
    build: result.build,
    ...(result.attempt > 1 && { attempt: result.attempt }),
    verdict: result.verdict,
    ...(result.reasons.length > 0 && { reasons: [...result.reasons] }),
    ...given('worst', worstEntry(result)),
    benchUncertaintyIncluded: result.benchIncluded,
    ...given('normalisation', normalisationEntry(result)),
    ...given('runToRun', result.runToRun && runToRunEntry(result.runToRun)),
    ...given('change', result.change && changeEntry(result.change, result.change.mean, result.change.since.file)),
    points: result.points.flatMap(pointEntry),
    ...(result.missing.length > 0 && {
      missing: result.missing.map((m) => ({ setting: plain(m.setting), velocity_mm_s: machine.speed(m.velocity) })),
    }),
    ...given('loops', analysis && analysis.loops.map((loop) => loopEntry(result, loop))),
    ...given('voids', analysis && voidEntries(result, analysis)),
    ...given('gas', gasEntry(result)),
    ...finite('friction_N', result.friction, machine.force),
    ...given('shape', shapeEntry(result.shape)),
    ...adjusterKeys(result),
    ...given('correction', result.correction && correctionEntry(result.correction)),
  };
}

export function worstEntry(result: JudgedResult): ResultEntry['worst'] {
  const worst = result.worst === undefined ? undefined : result.points[result.worst];
  if (worst?.share === undefined) return undefined;
  return {
    side: worst.side,
    velocity_mm_s: machine.speed(worst.velocity),
    setting: plain(worst.setting),
    drift_percent_of_tolerance: machine.percent(worst.share),
  };
}

/** A point without a force (an empty cell) is no point; what it leaves undecided stands in `missing` and the findings. */
function pointEntry(point: JudgedPoint): PointEntry[] {
  if (!Number.isFinite(point.force)) return [];
  return [
    {
      setting: plain(point.setting),
      ...(point.pass > 1 && { pass: point.pass }),
      side: point.side,
      velocity_mm_s: machine.speed(point.velocity),
      ...finite('achieved_mm_s', point.achieved, machine.speed),
      ...(point.cycles > 0 && { cycles: point.cycles }),
      force_N: machine.force(point.force),
      ...finite('damping_N', point.damping, machine.force),
      ...finite('uncertainty_N', point.uncertainty, machine.force),
      ...driftUncertainty(point),
      ...finite('coverageFactor', point.coverageFactor, machine.factor),
      ...finite('degreesOfFreedom', point.degreesOfFreedom, machine.degreesOfFreedom),
      ...finite('normalised_N', point.normalised?.damping, machine.force),
      ...finite('reference_N', point.reference, machine.force),
      ...finite('tolerance_N', point.tolerance, machine.force),
      ...finite('drift_N', point.drift, machine.force),
      ...finite('drift_percent', point.relativeDrift, machine.percent),
      ...given('direction', point.direction),
      ...finite('temperature_Cel', point.temperature, machine.celsius),
      verdict: point.verdict,
      ...given('reason', point.reason),
    },
  ];
}

/** Said only where it differs: reading beyond the end of a reference adds to the uncertainty of the drift alone. */
function driftUncertainty(point: JudgedPoint): { driftUncertainty_N?: number } {
  if (point.driftUncertainty === undefined || !Number.isFinite(point.driftUncertainty)) return {};
  const value = machine.force(point.driftUncertainty);
  return Number.isFinite(point.uncertainty) && value === machine.force(point.uncertainty)
    ? {}
    : { driftUncertainty_N: value };
}

function loopEntry(result: JudgedResult, loop: LoopMeasure): LoopEntry {
  return {
    setting: plain(settingOfVector(result, loop.setting)),
    ...(loop.pass > 1 && { pass: loop.pass }),
    velocity_mm_s: machine.speed(plannedSpeedOf(result, loop)),
    ...finite('frequency_Hz', loop.frequency, machine.size),
    ...finite('amplitude_mm', loop.amplitude, machine.length),
    ...finite('energy_J', loop.energy, machine.size),
    ...finite('equivalentDamping_N_s_m', loop.equivalentDamping, machine.size),
    ...finite('meanPower_W', loop.meanPower, machine.size),
    ...finite('symmetryCompression_percent', loop.symmetry.compression, twoDecimals),
    ...finite('symmetryRebound_percent', loop.symmetry.rebound, twoDecimals),
  };
}

/** For what the analysis gives in percent already. */
function twoDecimals(percent: number): number {
  return machine.percent(percent / 100);
}

function voidEntries(result: JudgedResult, analysis: RunAnalysis): NonNullable<ResultEntry['voids']> {
  return analysis.voids.map((found) => ({
    setting: plain(settingOfVector(result, found.setting)),
    side: found.side,
    length_mm: machine.length(found.length),
    lagCorrected: found.lagCorrected,
  }));
}

function gasEntry({ gas }: JudgedResult): GasEntry | undefined {
  if (gas === undefined || !Number.isFinite(gas.force)) return undefined;
  if (gas.source === 'none' || gas.source === 'constant')
    return { constantForce_N: machine.force(gas.force), reason: gas.reason ?? 'needs a creep step' };
  return {
    force_N: machine.force(gas.force),
    ...finite('expected_N', gas.expected, machine.force),
    ...finite('rate_N_mm', gas.rate, machine.rate),
    source: gas.source,
  };
}

export function findingEntry(finding: Finding): FindingEntry {
  return {
    rule: finding.rule,
    level: finding.level,
    file: finding.file,
    line: Math.max(1, finding.position.line),
    message: finding.message,
    ...(finding.next !== '' && { next: finding.next }),
    evidence: nested(finding.evidence),
    ...(finding.waived && { waived: { ...finding.waived } }),
  };
}

function plain(setting: Setting): Record<string, number> {
  return nested(setting);
}
