import {
  DiagnosticSeverity,
  type Diagnostic,
  type DiagnosticRelatedInformation,
  type Range,
} from 'vscode-languageserver';
import type { Finding } from '../../review/finding';
import type { JudgedResult } from '../../review/judgedResult';
import { RULES } from '../../review/rules/catalogue';
import { waiverText } from '../../reports/resultStory';
import { spellHidden } from '../../text/visible';
import { cellRange } from '../csvLine';
import type { Lines } from '../lines';
import { rangeOf } from '../textPlaces';
import { pointsByLine } from '../rowPoints';
import { pointSentence } from '../../reports/pointWords';

export const SOURCE = 'damper review';

/** What the diagnostics of one file are made of. */
export interface DiagnosticInput {
  readonly uri: string;
  readonly findings: readonly Finding[];
  /** The judged result of this file, where it is one. */
  readonly result?: JudgedResult | undefined;
  /** Lines of the open document; undefined for a file that is closed. */
  readonly lines?: Lines | undefined;
  /** Folder of the rules' pages. */
  readonly rulePages?: string | undefined;
}

/** What a diagnostic carries back to the quick fixes. */
export interface DiagnosticData {
  readonly rule: string;
  readonly column?: string;
  readonly value?: string;
}

/**
 * One diagnostic a finding, which the review raises once for each result, side and band at its worst row, the band's rows as related
 * information. In an open file every other row of a band is marked too, faintly, so that it shows in the text and not in lists.
 */
export function diagnosticsOf(input: DiagnosticInput): readonly Diagnostic[] {
  return [...input.findings.map((finding) => diagnosticOf(finding, input)), ...rowMarks(input)];
}

function diagnosticOf(finding: Finding, input: DiagnosticInput): Diagnostic {
  const waiver = waiverText(finding);
  const words = [finding.message, ...(waiver === undefined ? [finding.next] : [`(${waiver})`])];
  const related = relatedOf(finding, input);
  const page = pageOf(finding.rule, input.rulePages);
  return {
    range: rangeOfFinding(finding, input),
    severity: severityOf(finding),
    source: SOURCE,
    code: finding.rule,
    message: words
      .filter((part) => part !== '')
      .map(spellHidden)
      .join('\n'),
    data: dataOf(finding),
    ...(page !== undefined && { codeDescription: { href: page } }),
    ...(related.length > 0 && { relatedInformation: related }),
  };
}

/** A waived finding stays in the text and leaves the lists; what a test cannot decide is information, whatever level it has. */
function severityOf(finding: Finding): DiagnosticSeverity {
  if (finding.waived !== undefined) return DiagnosticSeverity.Hint;
  if (finding.level === 'note' || finding.rule === 'drift-undecided') return DiagnosticSeverity.Information;
  return finding.level === 'error' ? DiagnosticSeverity.Error : DiagnosticSeverity.Warning;
}

function dataOf({ rule, evidence }: Finding): DiagnosticData {
  const { column, value } = evidence;
  return {
    rule,
    ...(typeof column === 'string' && { column }),
    ...(typeof value === 'string' && { value }),
  };
}

export function pageOf(rule: string, folder: string | undefined): string | undefined {
  return folder === undefined || RULES.get(rule)?.docs === undefined ? undefined : `${folder}/${rule}.md`;
}

function rangeOfFinding(finding: Finding, { lines, result }: DiagnosticInput): Range {
  const { position, side } = finding;
  const line = lines?.[position.line - 1];
  if (side !== undefined && line !== undefined && result !== undefined) {
    const header = lines?.[result.table.headerLine - 1];
    const cell = header === undefined ? undefined : cellRange(header, line, position.line - 1, side);
    if (cell !== undefined) return cell;
  }
  return rangeOf(position, line);
}

/** So many rows are listed; a sweep has a thousand. */
const MOST_RELATED = 40;

function relatedOf(finding: Finding, { uri, lines }: DiagnosticInput): DiagnosticRelatedInformation[] {
  return (finding.related ?? []).slice(0, MOST_RELATED).map(({ position, message }) => ({
    location: { uri, range: rangeOf(position, lines?.[position.line - 1]) },
    message: spellHidden(message),
  }));
}

function rowMarks(input: DiagnosticInput): readonly Diagnostic[] {
  const { result, lines } = input;
  if (result === undefined || lines === undefined) return [];
  const header = lines[result.table.headerLine - 1];
  if (header === undefined) return [];
  const told = new Set(input.findings.map((finding) => `${finding.position.line} ${finding.side ?? ''}`));
  return [...pointsByLine(result)].flatMap(([line, points]) =>
    points
      .filter((point) => point.verdict === 'fail' && !told.has(`${line} ${point.side}`))
      .map((point) => ({
        range: cellRange(header, lines[line - 1] ?? '', line - 1, point.side) ?? rangeOf({ line, column: 1 }),
        severity: DiagnosticSeverity.Hint,
        source: SOURCE,
        code: 'drift-from-reference',
        message: spellHidden(pointSentence(point)),
      })),
  );
}
