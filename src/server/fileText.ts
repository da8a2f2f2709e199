import { recogniseFile } from '../files/recognise';
import type { LineBefore } from './judgedLines';
import { linesOf, type Lines } from './lines';
import type { OpenDocuments } from './openDocuments';
import type { DescribedFile } from './schemaWalk';
import type { Place } from './workspace';
import { yamlPlaceAt, type YamlPlace } from './yamlPlace';

/** A file that a feature looks at: the open document, else what is stored. */
export interface FileText extends Place {
  readonly uri: string;
  readonly lines: Lines;
  readonly kind: DescribedFile | undefined;
  /** Where a line stood, 0-based, when the repository's state was told last. */
  readonly judgedLine: LineBefore;
}

const MOST_BYTES = 8 * 1024 * 1024;
const DESCRIBED: ReadonlySet<string> = new Set<DescribedFile>(['spec', 'config', 'result', 'reference', 'testLog']);

export async function fileText(place: Place, documents: OpenDocuments): Promise<FileText | undefined> {
  const { repository, path } = place;
  const address = repository.folder.uriOf(path);
  const document = documents.at(address);
  const text = document?.getText() ?? (await repository.storedText(path, MOST_BYTES));
  if (text === undefined) return undefined;
  const kind = recogniseFile(path, { logs: [] });
  const lines = linesOf(text);
  return {
    repository,
    path,
    uri: document?.uri ?? address,
    lines,
    judgedLine: documents.judgedLines(address, lines),
    kind: kind !== undefined && DESCRIBED.has(kind) ? (kind as DescribedFile) : undefined,
  };
}

/** Where a cursor stands in the YAML of a file: all of a spec, a line of a preamble; undefined in the rows of a table. */
export function yamlPlaceIn(file: FileText, line: number, character: number): YamlPlace | undefined {
  const text = file.lines[line] ?? '';
  if (file.kind === 'spec' || file.kind === 'config') return yamlPlaceAt(file.lines, line, character);
  const start = /^#\s*/.exec(text)?.[0].length;
  if (start === undefined || file.kind === undefined || character < start) return undefined;
  return yamlPlaceAt([text], 0, character, start);
}

/** The word around a cursor that may be a path, an id or a number, and where it stands in its line. */
export function wordAt(
  lines: Lines,
  line: number,
  character: number,
): { readonly text: string; readonly start: number } {
  const text = lines[line] ?? '';
  const before = /[^\s,;{}[\]"'#:]*$/.exec(text.slice(0, character))![0];
  const after = /^[^\s,;{}[\]"'#:]*/.exec(text.slice(character))![0];
  return { text: before + after, start: character - before.length };
}
