import { CodeActionKind, type CodeAction, type Diagnostic, type TextEdit } from 'vscode-languageserver';
import { forceColumn } from '../../files/forceColumns';
import { parseUnit, unitsOf } from '../../quantities/unit';
import { COMMAND } from '../../protocol/requests';
import { RULES } from '../../review/rules/catalogue';
import { cellsOf, delimiterOf } from '../csvLine';
import { yamlPlaceIn, type FileText } from '../fileText';
import { schemaNodesAt } from '../schemaWalk';
import { valuePath } from '../yamlPlace';
import type { DiagnosticData } from './diagnostics';

/** What the client sends back to have an edit made when the fix is chosen. */
export interface FixData {
  readonly fix: 'reduce';
  readonly uri: string;
}

/** Rules that a fresh reduction answers. */
const REDUCED: ReadonlySet<string> = new Set(['result-altered', 'result-stale']);
/** A finding about a file that cannot be read, or about a waiver itself, is mended and not waived. */
const NEVER_WAIVED: ReadonlySet<string> = new Set([
  'unreadable',
  'path-outside',
  'file-invalid',
  'spec-invalid',
  'id-ambiguous',
  'unit-mismatch',
  'waiver-expired',
]);
const MOST_UNITS = 4;

/** Fixes for the diagnostics under the cursor. */
export function quickFixesFor(file: FileText, diagnostics: readonly Diagnostic[]): CodeAction[] {
  return diagnostics.flatMap((diagnostic) => {
    const data = diagnostic.data as DiagnosticData | undefined;
    const rule = data?.rule ?? '';
    return [
      ...(rule === 'unit-mismatch' || rule === 'spec-invalid' || rule === 'file-invalid'
        ? unitFixes(file, diagnostic)
        : []),
      ...(REDUCED.has(rule) ? [reduceFix(file, diagnostic)] : []),
      ...(rule === 'drift-from-reference' ? [adoptFix(file, diagnostic)] : []),
      ...(data !== undefined && RULES.has(rule) && !NEVER_WAIVED.has(rule) ? [waiveFix(file, diagnostic, rule)] : []),
    ];
  });
}

/** Resolved when it is chosen: reducing a log takes time. */
function reduceFix(file: FileText, diagnostic: Diagnostic): CodeAction {
  const data: FixData = { fix: 'reduce', uri: file.uri };
  return {
    title: 'Reduce again from the test log',
    kind: CodeActionKind.QuickFix,
    isPreferred: true,
    diagnostics: [diagnostic],
    data,
  };
}

function adoptFix(file: FileText, diagnostic: Diagnostic): CodeAction {
  const title = 'Adopt this result as the reference...';
  return {
    title,
    kind: CodeActionKind.QuickFix,
    diagnostics: [diagnostic],
    command: { title, command: COMMAND.adopt, arguments: [file.uri] },
  };
}

function waiveFix(file: FileText, diagnostic: Diagnostic, rule: string): CodeAction {
  const title = `Waive ${rule} for this file, with a reason...`;
  return {
    title,
    kind: CodeActionKind.QuickFix,
    diagnostics: [diagnostic],
    command: { title, command: COMMAND.waive, arguments: [file.uri, rule] },
  };
}

/** A number or a column without its unit gets one, the usual one first. */
function unitFixes(file: FileText, diagnostic: Diagnostic): CodeAction[] {
  const found = yamlUnits(file, diagnostic) ?? headerUnits(file, diagnostic);
  if (found === undefined) return [];
  return found.units.slice(0, MOST_UNITS).map((unit, i) => ({
    title: `Add the unit ${unit}`,
    kind: CodeActionKind.QuickFix,
    isPreferred: i === 0,
    diagnostics: [diagnostic],
    edit: { changes: { [file.uri]: [found.edit(unit)] } },
  }));
}

interface UnitFix {
  readonly units: readonly string[];
  edit(unit: string): TextEdit;
}

function yamlUnits(file: FileText, { range }: Diagnostic): UnitFix | undefined {
  const { line } = range.start;
  const text = file.lines[line] ?? '';
  // The place may be that of the key: the value is the first number behind it.
  const number = /(?:^|[\s:[{,])([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)(?=\s*(?:[,}\]#]|$))/.exec(
    text.slice(range.start.character),
  );
  if (number === null || file.kind === undefined) return undefined;
  const end = range.start.character + number.index + number[0].length;
  const place = yamlPlaceIn(file, line, end);
  if (place?.key === undefined) return undefined;
  const example = schemaNodesAt(file.kind, valuePath(place)).flatMap((node) => node.examples ?? [])[0];
  const unit = parseUnit(example?.replace(/^\S+\s+/, '') ?? '');
  if (unit === undefined) return undefined;
  const at = { line, character: end };
  return {
    units: unitsOf(unit.dimension),
    edit: (chosen) => ({ range: { start: at, end: at }, newText: ` ${chosen}` }),
  };
}

function headerUnits(file: FileText, { range }: Diagnostic): UnitFix | undefined {
  const { line } = range.start;
  const text = file.lines[line] ?? '';
  if (text.startsWith('#')) return undefined;
  const cell = cellsOf(text, delimiterOf(text)).find(
    ({ start, end }) => start <= range.start.character && range.start.character < Math.max(end, start + 1),
  );
  const dimension = cell === undefined ? undefined : forceColumn(cell.text)?.dimension;
  if (cell === undefined || dimension === undefined) return undefined;
  const place = { start: { line, character: cell.start }, end: { line, character: cell.end } };
  return { units: unitsOf(dimension), edit: (unit) => ({ range: place, newText: `${cell.text} [${unit}]` }) };
}
