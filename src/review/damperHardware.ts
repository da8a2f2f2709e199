import type { BenchUncertainty, DamperHardware } from '../analysis/runAnalysis';
import type { Bench } from '../files/reviewConfig';
import type { Spec, SpecHardware } from '../files/spec';

const known = new WeakMap<SpecHardware, DamperHardware>();

/** What the analysis uses of a spec's hardware; worked out once a spec, as every row of a result asks for it. */
export function damperHardware({ hardware }: Pick<Spec, 'hardware'>): DamperHardware {
  let found = known.get(hardware);
  if (found === undefined) known.set(hardware, (found = hardwareOf(hardware)));
  return found;
}

function hardwareOf(hardware: SpecHardware): DamperHardware {
  const { piston, rod, gasPressure, gasVolume, stroke, gas, rodKind, baseValve } = hardware;
  return {
    ...(piston !== undefined && { pistonArea: circle(piston) }),
    ...(rod !== undefined && { rodArea: circle(rod) }),
    ...(gasPressure !== undefined && { gasPressure }),
    ...(gasVolume !== undefined && { gasVolume }),
    ...(stroke !== undefined && { stroke }),
    ...(gas !== undefined && { gas }),
    ...(rodKind !== undefined && { rod: rodKind }),
    ...(baseValve !== undefined && { baseValve }),
  };
}

/** What the analysis uses of a bench's data. */
export function benchUncertainty(bench: Bench): BenchUncertainty {
  const { loadCellU, loadCellRelativeU, displacementU, skewU, movingMass } = bench;
  return {
    ...(loadCellU !== undefined && { loadCellU }),
    ...(loadCellRelativeU !== undefined && { loadCellRelativeU }),
    ...(displacementU !== undefined && { displacementU }),
    ...(skewU !== undefined && { skewU }),
    ...(movingMass !== undefined && { movingMass }),
  };
}

function circle(diameter: number): number {
  return (Math.PI / 4) * diameter * diameter;
}
