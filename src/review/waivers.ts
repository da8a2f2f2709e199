import { matchesGlob } from '../files/globs';
import type { ReviewConfig, Waiver } from '../files/reviewConfig';
import type { Finding } from './finding';
import type { ToldFinding } from './judgedResult';
import { raise } from './rules/ruleContext';

/** A waiver holds up to and with its last day. */
export function isExpired(waiver: Waiver, today: string): boolean {
  return today > waiver.until;
}

/**
 * Marks findings that a waiver covers: same rule, and a pattern that matches the finding's file or the result it belongs to. A waived finding
 * stays listed and no longer counts; a measured point that failed stays failed.
 *
 * @param resultFile file of the result that the findings belong to. @param today `YYYY-MM-DD`
 */
export function applyWaivers(
  findings: readonly Finding[],
  waivers: readonly Waiver[],
  today: string,
  resultFile?: string,
): readonly Finding[] {
  const holding = waivers.filter((waiver) => !isExpired(waiver, today));
  if (holding.length === 0) return findings;
  return findings.map((finding) => {
    const waiver = holding.find((w) => covers(w, finding, resultFile));
    if (waiver === undefined) return finding;
    const { reason, by, until } = waiver;
    return { ...finding, waived: { reason, by, until } };
  });
}

/** One finding for each waiver that is past its last day, at the waiver, with how many findings it would have covered. */
export function expiredWaivers(
  config: Pick<ReviewConfig, 'file' | 'rules' | 'waivers'>,
  today: string,
  findings: readonly Pick<ToldFinding, 'rule' | 'file'>[],
): readonly Finding[] {
  return config.waivers
    .filter((waiver) => isExpired(waiver, today))
    .flatMap((waiver) => {
      const left = findings.filter((finding) => covers(waiver, finding)).length;
      const rest =
        left === 0
          ? 'Nothing is left of what it covered; it can be removed.'
          : `What it covered counts again (${left} found).`;
      return raise({ config: config.rules }, 'waiver-expired', {
        at: { file: config.file, position: waiver.position },
        message: `The waiver of ${waiver.rule} for ${waiver.file} by ${waiver.by} ran out on ${waiver.until}. ${rest}`,
        evidence: { rule: waiver.rule, files: waiver.file, by: waiver.by, until: waiver.until, findings: left },
      });
    });
}

function covers(waiver: Waiver, finding: Pick<ToldFinding, 'rule' | 'file'>, resultFile?: string): boolean {
  if (waiver.rule !== finding.rule) return false;
  return matchesGlob(waiver.file, finding.file) || (resultFile !== undefined && matchesGlob(waiver.file, resultFile));
}
