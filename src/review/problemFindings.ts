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
  return problems.flatMap((problem) => {
    const level = NEVER_SILENT.has(problem.rule)
      ? (RULES.get(problem.rule)?.level ?? 'error')
      : ruleLevel(problem.rule, { config: rules });
    if (level === 'off') return [];
    return [
      {
        rule: problem.rule,
        level,
        file: problem.file,
        position: problem.position,
        message: messageOf(problem),
        next: problem.remedy,
        evidence: {
          ...(problem.column !== undefined && { column: problem.column }),
          ...(problem.value !== undefined && { value: problem.value }),
        },
      },
    ];
  });
}

/** The problem's own sentence; column and value follow where it does not name them itself. */
function messageOf({ message, column, value }: FileProblem): string {
  const named = (text: string | undefined): text is string =>
    text !== undefined && text !== '' && !message.includes(text);
  const parts = [...(named(column) ? [`column ${column}`] : []), ...(named(value) ? [`value "${value}"`] : [])];
  return parts.length === 0 ? message : `${message.replace(/\.$/, '')} (${parts.join(', ')}).`;
}
