import type { Finding } from '../../review/finding';
import { RULES } from '../../review/rules/catalogue';
import { fingerprint } from '../../text/fingerprint';

/** What a code host is told: findings, worst first, with paths as the host's checkout has them. */
export interface HostReport {
  readonly findings: readonly Finding[];
  /** Folder of the damper-spec repository below the checkout's root, such as `samples`; '' where they are the same. */
  readonly folder: string;
}

/** A finding with its path from the checkout's root and a name that stays the same from run to run. */
export interface HostFinding {
  readonly finding: Finding;
  readonly path: string;
  readonly title: string;
  /** Message and, where it is known, what to do next. May hold text from files. */
  readonly text: string;
  readonly fingerprint: string;
}

/**
 * The name of a finding rests on rule, file and side, and on its place among those alike; on no line and no measured value, so that a new
 * measurement of the same fault is the same finding to the host.
 */
export function hostFindings({ findings, folder }: HostReport): HostFinding[] {
  const seen = new Map<string, number>();
  return findings.map((finding) => {
    const path = folder === '' ? finding.file : `${folder}/${finding.file}`;
    const subject = JSON.stringify([finding.rule, path, finding.side ?? '']);
    const count = (seen.get(subject) ?? 0) + 1;
    seen.set(subject, count);
    const waived = finding.waived === undefined ? '' : `Waived: ${finding.waived.reason}. `;
    return {
      finding,
      path,
      title: RULES.get(finding.rule)?.title ?? finding.rule,
      text: `${waived}${finding.message}${finding.next === '' || waived !== '' ? '' : ` Next: ${finding.next}`}`,
      fingerprint: fingerprint(`${subject}${count}`),
    };
  });
}
