import { readFileSync } from 'node:fs';
import Ajv from 'ajv/dist/2020';
import addFormats from 'ajv-formats';
import { describe, expect, it } from 'vitest';
import { sarifLog } from '../../../src/reports/host/sarif';
import { HOSTILE } from '../../text/hostileText';
import { hostileOutcome } from '../fixtures/hostileOutcome';
import { failing, finding, workshop } from '../fixtures/outcomes';

const schema = JSON.parse(readFileSync('tests/published/data/sarif/sarif-schema-2.1.0.json', 'utf8')) as Record<
  string,
  unknown
>;
const ajv = new Ajv({ strict: false });
addFormats(ajv);
/** SARIF 2.1.0, OASIS Standard: the published JSON Schema. */
const isSarif = ajv.compile(schema);

function checked(findings: Parameters<typeof sarifLog>[0]['findings'], folder = '') {
  const log = sarifLog({ findings, folder }, '1.2.3');
  expect(isSarif(log), JSON.stringify(isSarif.errors)).toBe(true);
  return log.runs[0]!;
}

describe('the SARIF log', () => {
  it('fits the published schema and tells rule, level, place, next step and evidence', () => {
    const run = checked(workshop.findings, 'samples');
    const drift = run.results!.find((one) => one.ruleId === 'drift-from-reference')!;
    expect(drift).toMatchObject({
      level: 'error',
      locations: [
        {
          physicalLocation: {
            artifactLocation: { uri: 'samples/dampers/F-017/build-2/alder-front.result.csv', uriBaseId: '%SRCROOT%' },
            region: { startLine: 12, startColumn: 1 },
          },
        },
      ],
      properties: { evidence: { drift_N: 46.5 } },
    });
    expect(drift.message.text).toContain('134 % of the tolerance');
    expect(drift.message.text).toContain('Next: Compare the rebound shim stack');
    const rule = run.tool.driver.rules![drift.ruleIndex!]!;
    expect(rule.id).toBe('drift-from-reference');
    expect(rule.help!.text).not.toBe('');
  });

  it('a schema that does not fit would be seen', () => {
    const log = sarifLog({ findings: workshop.findings, folder: '' }, '1.2.3');
    expect(isSarif({ ...log, version: '2.0.0' })).toBe(false);
    expect(isSarif({ ...log, runs: [{ ...log.runs[0], results: [{ level: 'bad' }] }] })).toBe(false);
  });

  it('a waived finding is a suppression with its reason', () => {
    const waived = checked(failing.findings).results!.find((one) => one.ruleId === 'friction-high')!;
    expect(waived.suppressions).toMatchObject([{ kind: 'external', status: 'accepted' }]);
    expect(waived.suppressions![0]!.justification).toContain('New seals, run in first');
  });

  it('fingerprints are those of the run before, and of no measured value', () => {
    const prints = (findings: Parameters<typeof checked>[0]) =>
      checked(findings).results!.map((one) => one.partialFingerprints!['damperReview/v1']!);
    const before = prints(workshop.findings);
    expect(prints(workshop.findings)).toEqual(before);
    expect(new Set(before).size).toBe(before.length);
    const measuredAgain = workshop.findings.map((one) => ({
      ...one,
      message: one.message.replace(/\d/g, '7'),
      position: { line: one.position.line + 3, column: 1 },
      evidence: { drift_N: 47.25 },
    }));
    expect(prints(measuredAgain)).toEqual(before);
    expect(prints(workshop.findings.map((one) => ({ ...one, file: `x/${one.file}` })))).not.toEqual(before);
  });

  it('keeps what a host keeps, the worst, and says how many are left out', () => {
    const many = Array.from({ length: 5003 }, (_, line) =>
      finding({ rule: 'loop-rough', level: 'warning', message: `n ${line}`, position: { line, column: 1 } }),
    ).map((one) => ({ ...one, position: { line: one.position.line + 1, column: 1 } }));
    const log = sarifLog({ findings: many, folder: '' }, '1.2.3').runs[0]!;
    expect(log.results).toHaveLength(5000);
    expect(log.invocations![0]!.toolExecutionNotifications![0]!.message.text).toMatch(/^3 further findings/);
  });

  it('hostile texts stay texts: no link, no hidden character, a valid document', () => {
    for (const text of HOSTILE) {
      const run = checked(hostileOutcome(text).findings);
      for (const { message } of run.results!) {
        expect(message.text).not.toMatch(/\]\(/);
        expect(message.text).not.toMatch(/[\p{Cc}\p{Bidi_Control}]/u);
      }
    }
  });
});
