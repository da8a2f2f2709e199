import type { FileProblem } from '../files/problem';
import type { RuleSettings } from '../files/spec';
import type { Finding } from './finding';
import { RULES, ruleLevel } from './rules/catalogue';

/** Why a file could not be used must not be silenced: the exit status says that there was one. */
const NEVER_SILENT: ReadonlySet<string> = new Set([
  'unreadable',
  'path-outside',
  'file-invalid',
  'spec-invalid',
  'id-ambiguous',
  'unit-mismatch',
]);

/**
 * Findings of files that were read with problems or not at all. Their own remedy stands as what to do next.
 * @param rules levels of damper-review.yaml; those of NEVER_SILENT keep their default.
 */
export function problemFindings(problems: readonly FileProblem[], rules: RuleSettings): readonly Finding[] {
  const findings: Finding[] = [];
  const overrides = { config: rules };
  for (const problem of problems) {
    const { rule, file, position, column, value, remedy } = problem;
    const level = NEVER_SILENT.has(rule) ? (RULES.get(rule)?.level ?? 'error') : ruleLevel(rule, overrides);
    if (level === 'off') continue;
    const evidence: Record<string, string> = {};
    if (column !== undefined) evidence['column'] = column;
    if (value !== undefined) evidence['value'] = value;
    findings.push({ rule, level, file, position, message: messageOf(problem), next: remedy, evidence });
  }
  return findings;
}

/** The problem's own sentence; column and value follow where it does not name them itself. */
function messageOf({ message, column, value }: FileProblem): string {
  const parts: string[] = [];
  if (isLacking(message, column)) parts.push(`column ${column}`);
  if (isLacking(message, value)) parts.push(`value "${value}"`);
  return parts.length === 0 ? message : `${message.replace(/\.$/, '')} (${parts.join(', ')}).`;
}

function isLacking(message: string, text: string | undefined): text is string {
  return text !== undefined && text !== '' && !message.includes(text);
}
