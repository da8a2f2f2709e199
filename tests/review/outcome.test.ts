import { describe, expect, it } from 'vitest';
import type { FileProblem } from '../../src/files/problem';
import { collectOutcome, exitStatus, verdictOfAll } from '../../src/review/outcome';
import { problemFindings } from '../../src/review/problemFindings';
import { applyWaivers } from '../../src/review/waivers';
import { aConfig, aReference, aResult, aWaiver, judge } from './scenario';

const TODAY = '2026-03-20';
const PROBLEM: FileProblem = {
  rule: 'unreadable',
  file: 'dampers/F-001/build-1/a.testlog.csv.gz',
  position: { line: 1, column: 1 },
  message: 'The archive ends before its content does.',
  remedy: 'Copy the file again.',
};

function outcome(parts: Partial<Parameters<typeof collectOutcome>[0]>) {
  return collectOutcome({ results: [], problems: [], config: aConfig(), today: TODAY, unreadable: false, ...parts });
}
const pass = judge();
const fail = judge({ file: 'b.result.csv', table: aResult({ drift: () => 900, changes: { file: 'b.result.csv' } }) });
const undecided = judge({
  file: 'a.result.csv',
  table: aResult({ velocities: [0.1], changes: { file: 'a.result.csv' } }),
});

describe('collectOutcome', () => {
  it('lists failures first, then undecided, then passes, and takes the worst as the whole', () => {
    const found = outcome({ results: [pass, undecided, fail] });
    expect(found.results.map((r) => r.verdict)).toEqual(['fail', 'undecided', 'pass']);
    expect(found.verdict).toBe('fail');
    expect(found.method).toBe(1);
    const levels = found.findings.map((f) => f.level);
    expect(levels).toEqual(
      [...levels].sort((a, b) => 'error warning note'.indexOf(a) - 'error warning note'.indexOf(b)),
    );
  });

  it.each([
    [[pass, pass], 'pass'],
    [[pass, undecided], 'undecided'],
    [[undecided, fail, pass], 'fail'],
    [[], 'undecided'],
  ] as const)('verdict of the whole %#', (results, verdict) => {
    expect(verdictOfAll(results)).toBe(verdict);
  });

  it('tells a fault of a reference once, though every result meets it', () => {
    const before = aReference();
    const rows = before.rows.map((r) => (r.velocity === 1 ? { ...r, compression: 1000 } : r));
    const reference = { ...before, rows };
    const one = judge({ reference, file: 'c.result.csv' });
    const two = judge({ reference, file: 'd.result.csv' });
    expect(outcome({ results: [one, two] }).findings.filter((f) => f.rule === 'reference-not-monotonic')).toHaveLength(
      1,
    );
  });

  it('tells findings apart by rule, file, place and message, whichever of them are equal', () => {
    const base = problemFindings([PROBLEM], {})[0]!;
    const others = [
      { ...base, file: 'b.csv' },
      { ...base, rule: 'file-invalid' },
      { ...base, position: { line: 2, column: 1 } },
      { ...base, position: { line: 1, column: 2 } },
      { ...base, message: `${base.message} ` },
    ];
    const waived = { reason: 'known', by: 'the workshop', until: '2026-06-30' };
    const twins = others.map((finding) => ({ ...finding, waived }));
    const { findings } = outcome({ findings: [base, ...twins, base, ...others, ...twins] });
    expect(findings).toHaveLength(6);
    expect(findings.every((finding) => finding.waived === undefined)).toBe(true);
    expect(new Set(findings)).toEqual(new Set([base, ...others]));
  });

  it('puts waived findings last and keeps them', () => {
    const waived = judge({
      provenance: { kind: 'altered', line: 22, was: '1', expected: '2' },
      config: aConfig({ waivers: [aWaiver({ rule: 'result-altered', file: '**' })] }),
    });
    const findings = outcome({ results: [waived, undecided] }).findings;
    expect(findings.at(-1)).toMatchObject({ rule: 'result-altered', waived: { by: 'the workshop' } });
  });

  it('counts an unreadable file', () => {
    expect(outcome({ problems: [PROBLEM] })).toMatchObject({ unreadable: true, verdict: 'undecided' });
    expect(outcome({ unreadable: true }).unreadable).toBe(true);
  });
});

describe('exitStatus', () => {
  it.each([
    ['pass', false, 'undecided', 0],
    ['pass', false, 'fail', 0],
    ['undecided', false, 'undecided', 1],
    ['undecided', false, 'fail', 0],
    ['undecided', false, 'never', 0],
    ['fail', false, 'undecided', 1],
    ['fail', false, 'fail', 1],
    ['fail', false, 'never', 0],
    ['pass', true, 'undecided', 2],
    ['fail', true, 'never', 2],
  ] as const)('%s, unreadable %s, --fail-on %s gives %d', (verdict, unreadable, failOn, status) => {
    expect(exitStatus({ verdict, unreadable }, failOn)).toBe(status);
  });
});

describe('waivers', () => {
  const findings = judge({ provenance: { kind: 'altered', line: 22, was: '1', expected: '2' } }).findings;
  const waive = (changes: Parameters<typeof aWaiver>[0], today = TODAY, resultFile?: string) =>
    applyWaivers(findings, [aWaiver({ rule: 'result-altered', ...changes })], today, resultFile)[0]!.waived;

  it('cover a rule in the files of a pattern, up to and with their last day', () => {
    expect(waive({})).toEqual({
      reason: 'charged low on purpose for the rain',
      by: 'the workshop',
      until: '2026-06-30',
    });
    expect(waive({ until: TODAY })).toBeDefined();
    expect(waive({ until: '2026-03-19' })).toBeUndefined();
    expect(waive({ rule: 'result-stale' })).toBeUndefined();
    expect(waive({ file: 'dampers/F-003/**' })).toBeUndefined();
  });

  it('cover a log by the pattern of the result it belongs to', () => {
    expect(waive({ file: 'results/*.csv' }, TODAY, 'results/x.csv')).toBeDefined();
  });

  it('that ran out say how many findings count again', () => {
    const config = aConfig({ waivers: [aWaiver({ rule: 'result-altered', until: '2026-03-19' })] });
    const result = judge({ provenance: { kind: 'altered', line: 22, was: '1', expected: '2' }, config });
    const [expired] = outcome({ results: [result], config }).findings.filter((f) => f.rule === 'waiver-expired');
    expect(expired).toMatchObject({
      file: 'damper-review.yaml',
      position: { line: 7, column: 3 },
      evidence: { findings: 1 },
    });
    expect(result.verdict).toBe('fail');
  });
});

describe('levels', () => {
  const drifted = aResult({ drift: (_, v) => (v === 0.1 ? 19 : 0) });
  const ruleLevels = (spec: Parameters<typeof judge>[0], config = aConfig()) =>
    judge({ table: drifted, config, ...spec }).findings.map((f) => f.level);

  it('come from damper-review.yaml, and the spec wins', () => {
    const config = aConfig({ rules: { 'drift-undecided': { level: 'warning' } } });
    expect(ruleLevels({})).toEqual(['note']);
    expect(ruleLevels({}, config)).toEqual(['warning']);
    const spec = { ...judge().spec!, rules: { 'drift-undecided': { level: 'off' as const } } };
    expect(ruleLevels({ spec }, config)).toEqual([]);
  });

  it('cannot change that a point failed', () => {
    const config = aConfig({ rules: { 'drift-from-reference': { level: 'off' } } });
    const result = judge({ table: aResult({ drift: () => 900 }), config });
    expect(result.findings.map((f) => f.rule)).not.toContain('drift-from-reference');
    expect(result.verdict).toBe('fail');
  });

  it('set limits too, each for itself', () => {
    const config = aConfig({ rules: { 'uncertainty-too-large': { limit: 0.05, level: 'error' } } });
    const spec = { ...judge().spec!, rules: { 'uncertainty-too-large': { level: 'note' as const } } };
    const found = judge({ config, spec }).findings.filter((f) => f.rule === 'uncertainty-too-large');
    expect(found.map((f) => f.level)).toEqual(['note', 'note']);
  });

  it('do not reach into the prototype of a settings record', () => {
    expect(problemFindings([{ ...PROBLEM, rule: 'constructor' }], {})[0]!.level).toBe('error');
  });
});

describe('problemFindings', () => {
  it('keep place and remedy, and name column and value where the sentence does not', () => {
    const [finding] = problemFindings(
      [{ ...PROBLEM, rule: 'file-invalid', message: 'This is not a number.', column: 'force', value: 'abc' }],
      {},
    );
    expect(finding).toEqual({
      rule: 'file-invalid',
      level: 'error',
      file: PROBLEM.file,
      position: { line: 1, column: 1 },
      message: 'This is not a number (column force, value "abc").',
      next: 'Copy the file again.',
      evidence: { column: 'force', value: 'abc' },
    });
  });

  it('cannot be silenced where a file was not used, but may elsewhere', () => {
    const off = { unreadable: { level: 'off' as const }, 'file-kind-differs': { level: 'off' as const } };
    expect(problemFindings([PROBLEM], off)).toHaveLength(1);
    expect(problemFindings([{ ...PROBLEM, rule: 'file-kind-differs' }], off)).toEqual([]);
  });
});
