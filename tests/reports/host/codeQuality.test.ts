import Ajv from 'ajv';
import { describe, expect, it } from 'vitest';
import { codeQualityReport } from '../../../src/reports/host/codeQuality';
import { HOSTILE } from '../../text/hostileText';
import { hostileOutcome } from '../fixtures/hostileOutcome';
import { workshop } from '../fixtures/outcomes';

/** GitLab's documentation, "Code Quality report format": every entry has these and may have no others that matter. */
const isReport = new Ajv().compile({
  type: 'array',
  items: {
    type: 'object',
    required: ['description', 'check_name', 'fingerprint', 'severity', 'location'],
    additionalProperties: false,
    properties: {
      description: { type: 'string', minLength: 1 },
      check_name: { type: 'string', minLength: 1 },
      fingerprint: { type: 'string', minLength: 1 },
      severity: { enum: ['info', 'minor', 'major', 'critical', 'blocker'] },
      location: {
        type: 'object',
        required: ['path', 'lines'],
        properties: {
          path: { type: 'string', pattern: '^(?!\\./|/)' },
          lines: { type: 'object', required: ['begin'], properties: { begin: { type: 'integer', minimum: 1 } } },
        },
      },
    },
  },
});

describe('the code quality report', () => {
  it('has the documented shape, one entry a finding with a fingerprint of its own', () => {
    const entries = codeQualityReport({ findings: workshop.findings, folder: 'samples' });
    expect(isReport(entries), JSON.stringify(isReport.errors)).toBe(true);
    expect(entries).toHaveLength(workshop.findings.length);
    expect(new Set(entries.map((one) => one.fingerprint)).size).toBe(entries.length);
    expect(entries[0]!.location.path).toMatch(/^samples\/dampers\//);
  });

  it('severity follows level; what is waived is information', () => {
    const severities = new Map(
      codeQualityReport({ findings: workshop.findings, folder: '' }).map((one) => [one.check_name, one.severity]),
    );
    expect(severities.get('drift-from-reference')).toBe('critical');
    expect(severities.get('loop-rough')).toBe('minor');
    expect(severities.get('drift-undecided')).toBe('info');
    expect(severities.get('friction-high')).toBe('info');
  });

  it('no hidden character of a file comes out', () => {
    for (const text of HOSTILE)
      for (const entry of codeQualityReport({ findings: hostileOutcome(text).findings, folder: '' }))
        expect(entry.description).not.toMatch(/[\p{Cc}\p{Bidi_Control}]/u);
  });
});
