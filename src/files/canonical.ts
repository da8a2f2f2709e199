import type { Bench, LogMapping } from './reviewConfig';
import type { Spec } from './spec';

/*
 * Canonical texts of what a reduction depends on, for the digests in a result's `inputs`. Key order, spelling of units,
 * comments and everything that only judging uses leave no trace in them: moving a tolerance makes no result stale.
 * Numbers are SI, rounded to 12 digits, in JavaScript's shortest form, which every engine writes alike. Change nothing here without raising VERSION:
 * every committed result would read as stale.
 */
const VERSION = 1;

/** The parts of a spec that a reduction uses: rod and gas for the constant force, the adjusters' ids and units, planned velocities. */
export function canonicalSpec(spec: Spec): string {
  const { rod, rodKind, gas, gasPressure, gasVolume, stroke } = spec.hardware;
  return canonicalText('spec', {
    hardware: { rod, rodKind, gas, gasPressure, gasVolume, stroke },
    adjusters: spec.adjusters.map(({ id, unit }) => ({ id, unit })),
    velocities: spec.test.velocities,
  });
}

/** All of a mapping but where it stands. The pattern of its files is left out: which logs it claims is seen from its being used. */
export function canonicalMapping(mapping: LogMapping): string {
  const { delimiter, decimal, skipLines, columns, preamble, fromPath } = mapping;
  return canonicalText('mapping', { delimiter, decimal, skipLines, columns, preamble, fromPath });
}

/** The bench data that enter uncertainty and inertia; not the calibration's date or the crank, which only findings use. */
export function canonicalBench(bench: Bench): string {
  const { loadCellU, loadCellRelativeU, displacementU, skewU, movingMass } = bench;
  return canonicalText('bench', { loadCellU, loadCellRelativeU, displacementU, skewU, movingMass });
}

function canonicalText(what: string, value: unknown): string {
  return `damper-spec ${what} ${VERSION}\n${stableJson(value)}\n`;
}

/** JSON with sorted keys; absent keys leave no trace. */
function stableJson(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(stableJson).join(',')}]`;
  // 1.8 cm and 18 mm differ in the last binary digit and are one length.
  if (typeof value === 'number') return JSON.stringify(Number(value.toPrecision(12)));
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  const entries = Object.entries(value).filter(([, part]) => part !== undefined);
  entries.sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${entries.map(([key, part]) => `${JSON.stringify(key)}:${stableJson(part)}`).join(',')}}`;
}
