import type { Finding } from '../../review/finding';
import { spellHidden } from '../../text/visible';
import { hostFindings, type HostReport } from './hostFindings';

/** One entry of GitLab's code quality report (its documentation: "Code Quality report format"). */
export interface CodeQualityEntry {
  readonly description: string;
  readonly check_name: string;
  readonly fingerprint: string;
  readonly severity: 'info' | 'minor' | 'major' | 'critical' | 'blocker';
  readonly location: { readonly path: string; readonly lines: { readonly begin: number } };
}

const SEVERITY = { error: 'critical', warning: 'minor', note: 'info' } as const;

/** The report that a GitLab merge request compares between its branches. Waived findings are listed as information. */
export function codeQualityReport(report: HostReport): CodeQualityEntry[] {
  return hostFindings(report).map(({ finding, path, text, fingerprint }) => ({
    description: spellHidden(text),
    check_name: finding.rule,
    fingerprint,
    severity: severityOf(finding),
    location: { path, lines: { begin: finding.position.line } },
  }));
}

function severityOf(finding: Finding): CodeQualityEntry['severity'] {
  return finding.waived === undefined ? SEVERITY[finding.level] : 'info';
}
