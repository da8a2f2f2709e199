import type { Location } from 'vscode-languageserver';
import { folderOf, repositoryPath } from '../../files/paths';
import type { PlacedSpec } from '../../files/spec';
import { wordAt, yamlPlaceIn, type FileText } from '../fileText';
import { rangeOf } from '../textPlaces';

/** Of a spec id its spec; of a path the file; of a row the row of the reference that it is held against. */
export async function definitionAt(
  file: FileText,
  line: number,
  character: number,
  specs: readonly PlacedSpec[],
): Promise<Location[]> {
  const { folder } = file.repository;
  const word = wordAt(file.lines, line, character);
  const place = yamlPlaceIn(file, line, word.start + word.text.length);
  if (place !== undefined && word.text !== '') {
    const named = specOfWord(specs, word.text, place.key);
    if (named !== undefined) return [{ uri: folder.uriOf(named.file), range: rangeOf(named.positionOf('id')) }];
    const path = await pathOfWord(file, word.text);
    if (path !== undefined) return [{ uri: folder.uriOf(path), range: rangeOf({ line: 1, column: 1 }) }];
  }
  return referenceRow(file, line);
}

function specOfWord(specs: readonly PlacedSpec[], word: string, key: string | undefined): PlacedSpec | undefined {
  if (key !== 'spec' && key !== 'id' && key !== '0') return undefined;
  return specs.find(({ id }) => id === word) ?? specs.find(({ formerly }) => formerly.includes(word));
}

/** A path as it is written from the root, or from the file's own folder. */
async function pathOfWord({ repository, path }: FileText, word: string): Promise<string | undefined> {
  for (const base of ['', folderOf(path)]) {
    const found = repositoryPath(word, base);
    if ('path' in found && (await repository.has(found.path))) return found.path;
  }
  return undefined;
}

function referenceRow(file: FileText, line: number): Location[] {
  const result = file.repository.resultOf(file.path);
  if (result?.reference === undefined || file.kind !== 'result') return [];
  const row = result.table.rows.find((one) => one.line === line + 1);
  const { adjusters, rows, headerLine } = result.reference;
  const setting = new Map(result.table.adjusters.map(({ id }, i) => [id, row?.setting[i]]));
  const same = rows.find(
    (one) =>
      row !== undefined &&
      one.velocity === row.velocity &&
      adjusters.every(({ id }, i) => one.setting[i] === setting.get(id)),
  );
  if (row === undefined && line + 1 !== result.table.headerLine) return [];
  return [
    {
      uri: file.repository.folder.uriOf(result.reference.file),
      range: rangeOf({ line: same?.line ?? headerLine, column: 1 }),
    },
  ];
}
