import { SymbolKind, type DocumentSymbol } from 'vscode-languageserver';
import { readYaml } from '../../files/schema/yamlTree';
import { settingKey } from '../../review/referenceCurves';
import { settingText, speedText } from '../../review/wording';
import { shareWords } from '../../reports/pointWords';
import { spellHidden } from '../../text/visible';
import type { FileText } from '../fileText';
import { pointsByLine } from '../rowPoints';
import { wholeLineRange } from '../textPlaces';

/** A result's settings with their rows; a YAML file's keys. */
export function documentSymbolsOf(file: FileText): DocumentSymbol[] {
  return file.kind === 'spec' || file.kind === 'config' ? yamlSymbols(file) : tableSymbols(file);
}

function tableSymbols(file: FileText): DocumentSymbol[] {
  const result = file.repository.resultOf(file.path);
  if (result === undefined || file.kind !== 'result') return [];
  const settings = new Map<string, { readonly name: string; readonly rows: DocumentSymbol[] }>();
  for (const [number, points] of [...pointsByLine(result)].sort(([a], [b]) => a - b)) {
    const [first] = points;
    if (first === undefined || number > file.lines.length) continue;
    const key = settingKey(first.setting);
    const group = settings.get(key) ?? { name: settingText(first.setting), rows: [] };
    settings.set(key, group);
    const detail = points.flatMap((point) => shareWords(point) ?? []).join('; ');
    group.rows.push(symbol(speedText(first.velocity), detail, SymbolKind.Number, number - 1, file, []));
  }
  return [...settings.values()].map(({ name, rows }) => over(name, rows));
}

function symbol(
  name: string,
  detail: string,
  kind: SymbolKind,
  line: number,
  { lines }: FileText,
  children: DocumentSymbol[],
): DocumentSymbol {
  const range = wholeLineRange(line + 1, lines[line]);
  return {
    name: spellHidden(name) || '(no name)',
    detail: spellHidden(detail),
    kind,
    range,
    selectionRange: range,
    children,
  };
}

function over(name: string, rows: DocumentSymbol[]): DocumentSymbol {
  const first = rows[0]!.range;
  const last = rows.at(-1)!.range;
  return {
    name: spellHidden(name),
    kind: SymbolKind.Namespace,
    range: { start: first.start, end: last.end },
    selectionRange: first,
    children: rows,
  };
}

function yamlSymbols(file: FileText): DocumentSymbol[] {
  const { tree } = readYaml(file.path, file.lines.join('\n'), 'file-invalid');
  if (tree === undefined || typeof tree.value !== 'object' || tree.value === null || Array.isArray(tree.value))
    return [];
  const keys = (value: object, path: readonly string[]): DocumentSymbol[] =>
    Object.entries(value).map(([key, part]: [string, unknown]) => {
      const here = [...path, key];
      const line = tree.keyPosition(here).line - 1;
      const isMap = typeof part === 'object' && part !== null && !Array.isArray(part);
      const children = isMap ? keys(part, here) : [];
      const own = symbol(
        key,
        typeof part === 'string' ? part : '',
        isMap ? SymbolKind.Object : SymbolKind.Key,
        line,
        file,
        children,
      );
      // A symbol holds its children, or editors drop them.
      return children.reduce(
        (all, child) => ({ ...all, range: { start: all.range.start, end: laterOf(all, child) } }),
        own,
      );
    });
  return keys(tree.value, []);
}

function laterOf(a: DocumentSymbol, b: DocumentSymbol) {
  const later =
    a.range.end.line > b.range.end.line ||
    (a.range.end.line === b.range.end.line && a.range.end.character >= b.range.end.character);
  return later ? a.range.end : b.range.end;
}
