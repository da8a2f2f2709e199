import type { Log, ReportingDescriptor, Result } from 'sarif';
import type { Finding } from '../../review/finding';
import { RULES } from '../../review/rules/catalogue';
import { spellHidden } from '../../text/visible';
import { hostFindings, type HostFinding, type HostReport } from './hostFindings';

/** GitHub keeps this many results of a run; the worst come first. */
const MOST_RESULTS = 5000;
const ROOT = '%SRCROOT%';

/**
 * The findings as a SARIF 2.1.0 log (OASIS Standard, 27 March 2020): rules with their help, places, names that stay the same between runs,
 * waivers as suppressions.
 * @param version of the product
 */
export function sarifLog(report: HostReport, version: string): Log {
  const all = hostFindings(report);
  const kept = all.slice(0, MOST_RESULTS);
  const ids = [...new Set(kept.map(({ finding }) => finding.rule))].sort();
  const left = all.length - kept.length;
  return {
    $schema: 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json',
    version: '2.1.0',
    runs: [
      {
        tool: { driver: { name: 'Damper Spec Review', version, rules: ids.map(descriptor) } },
        columnKind: 'utf16CodeUnits',
        invocations: [
          {
            executionSuccessful: true,
            ...(left > 0 && {
              toolExecutionNotifications: [
                {
                  level: 'warning' as const,
                  message: { text: `${left} further findings are left out: a code host keeps ${MOST_RESULTS}.` },
                },
              ],
            }),
          },
        ],
        results: kept.map((one) => result(one, ids.indexOf(one.finding.rule))),
      },
    ],
  };
}

function descriptor(id: string): ReportingDescriptor {
  const rule = RULES.get(id);
  if (rule === undefined) return { id };
  const help = [
    rule.next,
    rule.causes.length === 0 ? '' : `Usual causes: ${rule.causes.join('; ')}.`,
    rule.cannotTell ?? '',
  ];
  const text = help.filter((part) => part !== '').join(' ');
  return {
    id,
    shortDescription: { text: rule.title },
    fullDescription: { text: rule.sentence },
    ...(text !== '' && { help: { text } }),
    defaultConfiguration: { level: rule.level },
  };
}

function result({ finding, path, text, fingerprint }: HostFinding, ruleIndex: number): Result {
  const { related = [], waived } = finding;
  return {
    ruleId: finding.rule,
    ruleIndex,
    level: finding.level,
    message: { text: plain(text) },
    locations: [{ physicalLocation: place(path, finding.position) }],
    ...(related.length > 0 && {
      relatedLocations: related.map((row) => ({
        physicalLocation: place(path, row.position),
        message: { text: plain(row.message) },
      })),
    }),
    partialFingerprints: { 'damperReview/v1': fingerprint },
    ...(waived !== undefined && {
      suppressions: [
        {
          kind: 'external' as const,
          status: 'accepted' as const,
          justification: plain(`${waived.reason} (${waived.by}, until ${waived.until})`),
        },
      ],
    }),
    ...(Object.keys(finding.evidence).length > 0 && { properties: { evidence: finding.evidence } }),
  };
}

function place(path: string, { line, column }: Finding['position']) {
  return {
    artifactLocation: { uri: path.split('/').map(encodeSegment).join('/'), uriBaseId: ROOT },
    region: { startLine: line, startColumn: column },
  };
}

/** A lone surrogate has no percent code; it never names a file that a host can show. */
function encodeSegment(segment: string): string {
  return encodeURIComponent(segment.replace(/\p{Cs}/gu, '\ufffd'));
}

/** SARIF reads `[words](target)` in a message as a link (3.11.6); text from files makes none. */
function plain(text: string): string {
  return spellHidden(text).replaceAll('](', '] (');
}
