import type { Finding } from '../../review/finding';
import { countText } from '../../review/wording';
import { escapeAnnotation, escapeAnnotationProperty } from '../../text/annotation';
import { hostFindings, type HostFinding, type HostReport } from './hostFindings';

/** GitHub shows this many annotations of a kind for each step of a workflow, and drops the others unsaid. */
const MOST_OF_A_KIND = 10;

const COMMANDS = { error: 'error', warning: 'warning', note: 'notice' } as const;
type Command = (typeof COMMANDS)[Finding['level']];

/**
 * Workflow commands, one a line, that a GitHub workflow turns into annotations of the lines they name. Worst first; where a kind has more
 * than are shown, the last one shown counts the rest. Waived findings are notices.
 */
export function renderAnnotations(report: HostReport): string {
  const kinds = new Map<Command, HostFinding[]>([
    ['error', []],
    ['warning', []],
    ['notice', []],
  ]);
  for (const one of hostFindings(report)) kinds.get(commandOf(one.finding))!.push(one);
  const lines = [...kinds].flatMap(([command, all]) => annotationsOfKind(command, all));
  return lines.map((line) => `${line}\n`).join('');
}

function commandOf(finding: Finding): Command {
  return finding.waived === undefined ? COMMANDS[finding.level] : 'notice';
}

function annotationsOfKind(command: Command, all: readonly HostFinding[]): string[] {
  if (all.length <= MOST_OF_A_KIND) return all.map((one) => annotation(command, one));
  const shown = all.slice(0, MOST_OF_A_KIND - 1);
  const rest = countText(all.length - shown.length, `further ${command}`);
  return [
    ...shown.map((one) => annotation(command, one)),
    `::${command} title=Damper review::${escapeAnnotation(`${rest} in the full report.`)}`,
  ];
}

function annotation(command: Command, { finding, path, title, text }: HostFinding): string {
  const { line, column } = finding.position;
  const place = `file=${escapeAnnotationProperty(path)},line=${line},col=${column}`;
  return `::${command} ${place},title=${escapeAnnotationProperty(title)}::${escapeAnnotation(text)}`;
}
