import { describe, expect, it } from 'vitest';
import type { FileProblem } from '../../src/files/problem';
import type { Finding } from '../../src/review/finding';
import { problemFindings } from '../../src/review/problemFindings';
import type { RuleId } from '../../src/review/rules/catalogue';
import type { BRANCH_RULES } from '../../src/review/rules/entriesOfBranches';
import { ruleEntry } from '../../src/review/rules/catalogue';
import { anUnevenSweep, aSweepWith, sweptFindings } from './adjusters/ruleCases';
import { aLog } from './logScenario';
import {
  afterBuild,
  EXPECTED_GAS,
  withGas,
  fastCompression,
  withHardware,
  aDrop,
  aRoughness,
  aLag,
  loopsWith,
  wideReference,
  fallingReference,
  outcomeWith,
  log,
  measured,
  withAnalysis,
  key,
  aVoid,
  bentAt,
} from './ruleInputs';
import { aReference, aResult, aSpec, BENCH, judge, judgeWithout, softer, VELOCITIES } from './scenario';

interface RuleCase {
  /** A case in which the rule fires. */
  readonly fires: () => readonly Finding[];
  /** As near to it as can be, without it. */
  readonly quiet: () => readonly Finding[];
  /** What the message must say. */
  readonly says: RegExp | string;
  readonly evidence?: Finding['evidence'];
}

const found = (...changes: Parameters<typeof judge>): readonly Finding[] => judge(...changes).findings;

function problem(rule: string, message: string): () => readonly Finding[] {
  const one: FileProblem = { rule, file: 'a.csv', position: { line: 4, column: 7 }, message, remedy: 'Do this.' };
  return () => problemFindings([one], {});
}
/** What only readers raise: they are silent where nothing is wrong, which their own tests hold; here the catalogue must know the rule. */
const nothingWrong = (): readonly Finding[] => problemFindings([], {});

/** One entry for each rule that is judged today; the compiler asks for every one of them. Those about branches have their own tests. */
const CASES: Readonly<Record<Exclude<RuleId, keyof typeof BRANCH_RULES>, RuleCase>> = {
  unreadable: { fires: problem('unreadable', 'The archive ends early.'), quiet: nothingWrong, says: 'ends early' },
  'file-invalid': { fires: problem('file-invalid', 'No such key.'), quiet: nothingWrong, says: 'No such key' },
  'spec-invalid': { fires: problem('spec-invalid', 'No unit.'), quiet: nothingWrong, says: 'No unit' },
  'path-outside': { fires: problem('path-outside', 'It leaves.'), quiet: nothingWrong, says: 'It leaves' },
  'id-ambiguous': { fires: problem('id-ambiguous', 'Two specs.'), quiet: nothingWrong, says: 'Two specs' },
  'unit-mismatch': { fires: problem('unit-mismatch', 'A force in mm.'), quiet: nothingWrong, says: 'A force in mm' },
  'file-kind-differs': { fires: problem('file-kind-differs', 'A log.'), quiet: nothingWrong, says: 'A log' },
  'large-file-pointer': { fires: problem('large-file-pointer', 'A pointer.'), quiet: nothingWrong, says: 'A pointer' },
  'spec-missing': {
    fires: () => judgeWithout(['spec', 'reference'], { table: { ...aResult(), spec: 'birch-rear' } }).findings,
    quiet: () => found(),
    says: 'there is no spec birch-rear',
  },
  'setting-unknown': {
    fires: () => found({ table: aResult({ settings: [[8, 3, 19]] }) }),
    quiet: () => found({ table: aResult({ settings: [[8, 3, 18]] }) }),
    says: 'R 19 does not exist: R has 0 to 18 clicks',
    evidence: { adjuster: 'R', position: 19, rows: VELOCITIES.length },
  },
  'row-repeated': {
    fires: () => {
      const table = aResult();
      return found({ table: { ...table, rows: [...table.rows, { ...table.rows[0]!, line: 40 }] } });
    },
    quiet: () => {
      const table = aResult();
      return found({ table: { ...table, rows: [...table.rows, { ...table.rows[0]!, line: 40, pass: 2 }] } });
    },
    says: 'stands here for the second time; both are judged',
  },
  'time-not-increasing': {
    fires: () =>
      found({ logs: [aLog({ events: [{ kind: 'time-not-increasing', row: 100, time: 0.5, previous: 0.6 }] })] }),
    quiet: () => found({ logs: [log] }),
    says: 'column time: 0.5 s follows 0.6 s',
  },
  'time-gap': {
    fires: () => found({ logs: [aLog({ events: [{ kind: 'gap-in-stroke', row: 100, duration: 0.02 }] })] }),
    quiet: () => found({ logs: [log] }),
    says: 'missing for 0.02 s inside a stroke',
    evidence: { gap_s: 0.02, places: 1 },
  },
  'result-altered': {
    fires: () => found({ provenance: { kind: 'altered', line: 22, was: '900', expected: '895.4' } }),
    quiet: () => found({ provenance: { kind: 'matches' } }),
    says: 'reads "900", its log gives "895.4"',
  },
  'result-stale': {
    fires: () => found({ provenance: { kind: 'stale', because: ['method', 'bench'], detail: '' } }),
    quiet: () => found({ provenance: { kind: 'matches' } }),
    says: 'method of analysis and bench data changed',
  },
  'result-unsourced': {
    fires: () =>
      found({ provenance: { kind: 'unsourced', missing: ['a.testlog.csv'], detail: 'its log is not here.' } }),
    quiet: () => found({ provenance: { kind: 'matches' } }),
    says: 'its log is not here',
  },
  'waiver-expired': {
    fires: () => outcomeWith('2026-03-19'),
    quiet: () => outcomeWith('2026-03-20'),
    says: 'ran out on 2026-03-19',
  },
  'sign-suspect': {
    fires: () => found({ logs: [aLog({ events: [{ kind: 'sign-suspect', row: 3, energy: -42 }] })] }),
    quiet: () => found({ logs: [log] }),
    says: 'gives 42 J out',
  },
  'force-clipped': {
    fires: () => found({ logs: [aLog({ events: [{ kind: 'force-clipped', row: 3, value: 2000, strokes: 4 }] })] }),
    quiet: () => found({ logs: [log] }),
    says: 'force stands at 2000 N for several samples in 4 strokes',
  },
  'limit-exceeded': {
    fires: () => found({ ...measured, spec: aSpec({ limits: { maxForce: 2400 } }) }),
    quiet: () =>
      found({ ...measured, spec: aSpec({ limits: { maxForce: 2500, maxTemperature: 320, maxVelocity: 1 } }) }),
    says: 'force reached 2500 N; the spec allows 2400 N',
    evidence: { force_N: 2500, limit_N: 2400 },
  },
  'sampling-too-slow': {
    fires: () => found(withAnalysis({ changes: { tooSlow: [{ step: key(7), side: 'compression', samples: 6 }] } })),
    quiet: () => found(withAnalysis({})),
    says: 'only 6 samples around peak speed in compression at 1000 mm/s',
  },
  'velocity-disagrees': {
    fires: () => found({ logs: [aLog({ reduced: { velocityCheck: { scale: 1.021, lag: 0.0021 } } })] }),
    quiet: () => found({ logs: [aLog({ reduced: { velocityCheck: { scale: 0.981, lag: -0.0019 } } })] }),
    says: 'is 1.021 times the derivative of displacement and is 2.1 ms late',
  },
  'velocity-not-reached': {
    fires: () => found({ table: aResult({ velocities: [...VELOCITIES.slice(0, -1), 0.96] }) }),
    quiet: () => found({ table: aResult({ velocities: [...VELOCITIES.slice(0, -1), 0.972] }) }),
    says: '1000 mm/s was planned, the step reached 960 mm/s',
    // 60 x 1 m/s / (pi x 50 mm)
    evidence: { planned_mm_s: 1000, reached_mm_s: 960, points: 1, cyclesPerMinute: 382 },
  },
  'step-not-settled': {
    fires: () =>
      found(
        withAnalysis({ changes: { notSettled: [{ step: key(1), side: 'compression', pValue: 0.002, change: 3 }] } }),
      ),
    quiet: () =>
      found(
        withAnalysis({ changes: { notSettled: [{ step: key(1), side: 'compression', pValue: 0.02, change: 3 }] } }),
      ),
    says: 'compression force still moves by 3 N from its first to its last cycle at 200 mm/s',
    evidence: { pValue: 0.002, change_N: 3, steps: 1 },
  },
  'test-plan-incomplete': {
    fires: () => found({ table: aResult({ velocities: VELOCITIES.filter((v) => v !== 0.3 && v !== 0.4) }) }),
    quiet: () => found({ table: aResult({ velocities: [...VELOCITIES, 1.2] }), reference: wideReference() }),
    says: '2 planned points not measured: 300 and 400 mm/s',
  },
  'temperature-outside': {
    fires: () => found({ table: aResult({ row: (r) => (r.velocity === 1 ? { ...r, temperature: 314.15 } : r) }) }),
    quiet: () => found({ table: aResult({ row: (r) => (r.velocity === 1 ? { ...r, temperature: 313.15 } : r) }) }),
    says: '1 step outside 30 °C to 40 °C and not judged, the farthest 1000 mm/s at LSC 8, HSC 3, R 6 with 41 °C',
  },
  'uncertainty-too-large': {
    fires: () => found({ table: aResult({ U: 6.8 }) }), // the slowest compression point has a tolerance of 20 N
    quiet: () => found({ table: aResult({ U: 6.6 }) }),
    says: 'uncertainty 6.8 N is 34 % of the tolerance of 20 N',
  },
  'calibration-overdue': {
    fires: () => found({ bench: { ...BENCH, calibrationInterval: 60 } }),
    quiet: () => found({ bench: { ...BENCH, calibrationInterval: 63 } }),
    says: 'bench bench-1 was calibrated on 2026-01-10 for 60 days; the test came 3 days too late',
  },
  'drift-from-reference': {
    fires: () => found({ table: aResult({ drift: (side) => softer(side, 200) }) }),
    quiet: () => found({ table: aResult({ drift: (side) => softer(side, 15) }) }),
    says: /^F-017 build 2: compression 100 to 1000 mm\/s is \d+ % of tolerance, softer, at LSC 8, HSC 3\.$/,
  },
  'drift-undecided': {
    fires: () => found({ table: aResult({ drift: (side, v) => (v === 0.1 && side === 'compression' ? 19.5 : 0) }) }),
    quiet: () => found({ table: aResult({ drift: (side, v) => (v === 0.1 && side === 'compression' ? 17.5 : 0) }) }),
    says: 'Drift 19.5 N with U 2 N is neither safely inside nor safely outside the tolerance of 20 N',
  },
  'reference-missing': {
    fires: () => found({ table: aResult({ settings: [[8, 3, 7]] }) }),
    quiet: () => found({ table: aResult({ settings: [[8, 3, 6]] }) }),
    says: 'the reference has no curve for 1 setting of this test: LSC 8, HSC 3, R 7',
  },
  'reference-not-monotonic': {
    fires: () => found({ reference: fallingReference(-30) }),
    quiet: () => found({ reference: fallingReference(0) }),
    says: 'compression damping falls by 30 N from 800 mm/s to 1000 mm/s',
    evidence: { fall_N: 30, from_mm_s: 800, to_mm_s: 1000 },
  },
  'test-basis-differs': {
    fires: () => found({ table: aResult({ changes: { basis: { ...aReference().basis, stroke: 0.06 } } }) }),
    quiet: () => found(),
    says: 'test and reference were not run alike: stroke 60 mm against 50 mm',
  },
  'loop-void': {
    fires: () => found(withAnalysis({ changes: { voids: [aVoid] } })),
    quiet: () => found(withAnalysis({ changes: { voids: [{ ...aVoid, length: 0.00049 }] } })), // 1 % of 50 mm is 0.5 mm
    says: 'rebound gives no damping over the first 2.4 mm after the compressed end',
    evidence: {
      length_mm: 2.4,
      position: 'from the compressed end',
      forceLevel: 'gas level',
      lagCorrected: 'yes',
      steps: 7,
      settings: 1,
    },
  },
  'void-mounting': {
    fires: () => found(withAnalysis({ changes: { voids: [{ ...aVoid, at: 'zero' }] } })),
    quiet: () => found(withAnalysis({ changes: { voids: [aVoid] } })),
    says: 'play in mounting or rod end',
  },
  'loop-drop': {
    fires: () => found(withAnalysis({ changes: { drops: [aDrop(0.12)] } })),
    quiet: () => found(withAnalysis({ changes: { drops: [aDrop(0.08)] } })),
    says: 'compression force falls short by 12 % over 9 mm around 10 mm in from mid-stroke (45 mm from full extension)',
    evidence: {
      shortfall_percent: 12,
      limit_percent: 8,
      position_mm: 10,
      width_mm: 9,
      fromFullExtension_mm: 45,
      settings: 1,
    },
  },
  'loop-asymmetric': {
    fires: () => found(withAnalysis({ changes: { loops: loopsWith({ rebound: 8.2 }) } })),
    quiet: () => found(withAnalysis({ changes: { loops: loopsWith({ rebound: 7.9 }) } })),
    says: 'rebound loop is lopsided by 8.2 % of its largest force (limit 8 %), at 200 mm/s',
  },
  'loop-rough': {
    fires: () => found(withAnalysis({ changes: { roughness: [aRoughness(1.41)] } })),
    quiet: () => found(withAnalysis({ changes: { roughness: [aRoughness(1.29)] } })),
    says: 'rebound force holds 1.41 times the ripple that noise explains (limit 1.3), 6 N in size, at 300 mm/s',
  },
  'hysteresis-high': {
    fires: () => found(withAnalysis({ changes: { lags: [aLag(14)] } })),
    quiet: () => found(withAnalysis({ changes: { lags: [aLag(9.9)] } })),
    says: 'compression hysteresis is 14 % at half of peak speed (limit 10 %; lag 3 ms), at 400 mm/s',
  },
  cavitation: {
    // 13.01 bar absolute, 35 mm in and at 35 °C 15.95 bar, on the 1266 mm2 between piston and rod: 2019 N
    fires: () => found({ spec: withHardware({ baseValve: false }), table: aResult({ drift: fastCompression(290) }) }),
    quiet: () => found({ spec: withHardware({ baseValve: false }), table: aResult({ drift: fastCompression(110) }) }),
    says: 'compression damping of 1990 N at 1000 mm/s',
  },
  'gas-force-low': {
    fires: () => found(withGas(300)),
    quiet: () => found(withGas(EXPECTED_GAS - 23)),
    says: 'gas force is 300 N at 31 °C, the charge of the spec gives',
  },
  'gas-force-high': {
    fires: () => found(withGas(EXPECTED_GAS + 25)),
    quiet: () => found(withGas(EXPECTED_GAS + 23)),
    says: '25 N too high, 20 N allowed',
  },
  'change-significant': {
    // Repeats of 0.3 % a side, 5 degrees of freedom: T2 = (d / 0.003)^2 for both sides off by d, F = 0.4 T2 on (2, 4), 5 % at T2 = 17.36
    fires: () => found(afterBuild(0.0126)),
    quiet: () => found(afterBuild(0.0124)),
    says: /^F-017 build 2: changed since build 1: compression 1.3 % softer and rebound 1.3 % softer, more than 6 runs without a rebuild let expect \(p 0.049\)/,
  },
  'shape-changed': {
    // A bend at 300 mm/s in the straight reference: 40 % of the slope is left above it.
    fires: () => found({ table: aResult({ drift: bentAt(0.3, 0.4) }) }),
    quiet: () => found({ table: aResult({ drift: bentAt(0.3, 0.85) }) }),
    says: /compression is digressive, knee at (29|30)\d ± .* at LSC 8, HSC 3, R 6; the reference is linear\./,
  },
  'friction-high': {
    fires: () => found({ ...withAnalysis({}), spec: aSpec({ tolerance: { friction: 9.9 } }) }),
    quiet: () => found({ ...withAnalysis({}), spec: aSpec({ tolerance: { friction: 10.1 } }) }), // 12 N +- 2 N
    says: 'friction is 12 N, the spec allows 9.9 N',
  },
  'click-step-uneven': {
    fires: () => anUnevenSweep(1.6),
    quiet: () => anUnevenSweep(1.45),
    says: 'R from 5 to 6 clicks is 160 % of the median step a click (limits 50 % to 150 %, U',
  },
  'click-wrong-way': {
    fires: () => anUnevenSweep(-0.5),
    quiet: () => anUnevenSweep(-0.1),
    says: 'opening R from 5 to 6 clicks makes rebound harder, by 50 % of a median step',
  },
  'adjuster-dead-range': {
    fires: () => sweptFindings(aSweepWith({ deadFrom: 6 })),
    quiet: () => sweptFindings(aSweepWith({ deadFrom: 9 })), // one small step is an uneven click
    says: 'R from 6 to 10 clicks does not move rebound',
    evidence: { adjuster: 'R', unit: 'click', deadFrom: 6, to: 10, positions: 11 },
  },
  'adjuster-crosstalk': {
    fires: () => sweptFindings(aSweepWith({ crossTalk: 0.14 })),
    quiet: () => sweptFindings(aSweepWith({ crossTalk: 0.1 })),
    says: /R moves compression by 14 % of what it moves rebound \(limit 10 %\)/,
  },
  'sweep-not-closed': {
    fires: () => sweptFindings(aSweepWith({ heat: 0.012 })),
    quiet: () => sweptFindings(aSweepWith({ heat: 0.008 })), // U of a difference: 0.85 %
    says: 'is 1.2 % softer (U 0.8 %)',
  },
};

describe.each(Object.entries(CASES))('%s', (id, { fires, quiet, says, evidence }) => {
  it('fires, at its level, with a place, a plain sentence and what to do next', () => {
    const findings = fires().filter((f) => f.rule === id);
    expect(findings.length).toBeGreaterThanOrEqual(1);
    const [finding] = findings;
    expect(finding!.level).toBe(ruleEntry(id as RuleId).level);
    expect(finding!.message).toMatch(says);
    expect(finding!.message).not.toMatch(/NaN|undefined|Infinity|null/);
    expect(finding!.next.length).toBeGreaterThan(5);
    expect(finding!.position.line).toBeGreaterThanOrEqual(1);
    for (const value of Object.values(finding!.evidence)) expect(value).not.toBeNaN();
    if (evidence !== undefined) expect(finding!.evidence).toEqual(evidence);
  });

  it('is quiet where there is nothing', () => {
    expect(quiet().filter((f) => f.rule === id)).toEqual([]);
  });
});
