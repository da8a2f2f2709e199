import type { Range, TextEdit, WorkspaceEdit } from 'vscode-languageserver';
import { identityFault } from '../../files/identityText';
import { readYaml } from '../../files/schema/yamlTree';
import type { Spec } from '../../files/spec';
import { SessionFault } from '../../session/sessionFault';
import { fileText, wordAt, yamlPlaceIn, type FileText } from '../fileText';
import type { OpenDocuments } from '../openDocuments';
import { wholeLineRange } from '../textPlaces';

/** The id under the cursor and its spec: at `id` of a spec, or where a file names its spec. */
export function renamedAt(
  file: FileText,
  line: number,
  character: number,
  specs: readonly Spec[],
): { readonly spec: Spec; readonly range: Range; readonly id: string } | undefined {
  const { text, start } = wordAt(file.lines, line, character);
  const place = yamlPlaceIn(file, line, start + text.length);
  const isId = file.kind === 'spec' && place?.path.length === 0 && place.key === 'id';
  if (text === '' || (!isId && place?.key !== 'spec')) return undefined;
  const spec = isId
    ? specs.find((one) => one.file === file.path && one.id === text)
    : specs.find(({ id, formerly }) => id === text || formerly.includes(text));
  if (spec === undefined) return undefined;
  return {
    spec,
    id: text,
    range: { start: { line, character: start }, end: { line, character: start + text.length } },
  };
}

/**
 * The spec takes the new id and keeps the old one under `formerly`, so that results and logs, which are records of a measurement, stay as
 * they were written. @throws SessionFault for a name that is none, or that another spec bears
 */
export async function renameEdit(
  { repository }: FileText,
  spec: Spec,
  newId: string,
  specs: readonly Spec[],
  documents: OpenDocuments,
): Promise<WorkspaceEdit> {
  const fault = identityFault(newId);
  if (fault !== undefined) throw new SessionFault(fault.message, fault.remedy);
  const holder = specs.find((one) => one.file !== spec.file && (one.id === newId || one.formerly.includes(newId)));
  if (holder !== undefined)
    throw new SessionFault(`The id is or was that of ${holder.file}.`, 'Choose an id that no spec bears or bore.');
  const file = await fileText({ repository, path: spec.file }, documents);
  if (file === undefined) throw new SessionFault('The spec cannot be read.', 'Save it first.');
  if (newId === spec.id) return { changes: {} };
  return { changes: { [file.uri]: editsOf(file, spec, newId) } };
}

function editsOf(file: FileText, spec: Spec, newId: string): TextEdit[] {
  const { tree } = readYaml(file.path, file.lines.join('\n'), 'spec-invalid');
  if (tree === undefined) throw new SessionFault('The spec cannot be read.', 'Mend its faults first.');
  const at = tree.valuePosition(['id']);
  const line = at.line - 1;
  const start = at.column - 1;
  const raw = scalarText(file.lines[line] ?? '', start);
  const former = [...spec.formerly.filter((id) => id !== newId), spec.id].map(yamlText);
  const value = `[${former.join(', ')}]`;
  const id: TextEdit = {
    range: { start: { line, character: start }, end: { line, character: start + raw.length } },
    newText: yamlText(newId),
  };
  if (spec.formerly.length === 0)
    return [
      id,
      {
        range: {
          start: { line, character: (file.lines[line] ?? '').length },
          end: { line, character: (file.lines[line] ?? '').length },
        },
        newText: `\nformerly: ${value}`,
      },
    ];
  return [id, { range: formerlyRange(file, tree.keyPosition(['formerly']).line - 1), newText: `formerly: ${value}` }];
}

/** The key with its whole value, written in one line or as a list below it. */
function formerlyRange({ lines }: FileText, first: number): Range {
  let last = first;
  while (/^\s*-\s|^\s+\S/.test(lines[last + 1] ?? '')) last += 1;
  const comment = last === first ? /\s+#.*$/.exec(lines[first] ?? '')?.[0].length : undefined;
  const end = wholeLineRange(last + 1, lines[last]).end;
  return {
    start: { line: first, character: 0 },
    end: { line: last, character: end.character - (comment ?? 0) },
  };
}

/** A scalar as it stands in its line, quotes included. */
function scalarText(line: string, start: number): string {
  const rest = line.slice(start);
  return /^"(?:[^"\\]|\\.)*"|^'(?:[^']|'')*'/.exec(rest)?.[0] ?? rest.replace(/\s+#.*$/, '').trimEnd();
}

/** Plain where YAML reads it back as it is, else in double quotes. */
function yamlText(text: string): string {
  return /^[\p{L}\p{N}_][\p{L}\p{N}_./-]*$/u.test(text) ? text : JSON.stringify(text);
}
