import type { Location } from 'vscode-languageserver';
import type { JudgedResult } from '../../review/judgedResult';
import type { PlacedSpec } from '../../files/spec';
import { wordAt, yamlPlaceIn, type FileText } from '../fileText';
import type { Repository } from '../repository';
import { rangeOf } from '../textPlaces';

/** Everything that rests on a reference curve, on a spec, or on the spec that an id names: results at their worst rows, specs at their keys. */
export function referencesAt(
  file: FileText,
  line: number,
  character: number,
  specs: readonly PlacedSpec[],
): Location[] {
  const { repository } = file;
  if (file.kind === 'reference') return ofReference(repository, file.path, specs);
  const word = wordAt(file.lines, line, character).text;
  const place = yamlPlaceIn(file, line, character);
  if (file.kind === 'spec') {
    const spec = specs.find((one) => one.file === file.path);
    if (place?.key === 'reference' && spec?.reference !== undefined)
      return ofReference(repository, spec.reference, specs);
    return ofSpec(repository, file.path);
  }
  const named =
    place?.key === 'spec' ? specs.find(({ id, formerly }) => id === word || formerly.includes(word)) : undefined;
  return named === undefined ? [] : ofSpec(repository, named.file);
}

function ofReference(repository: Repository, path: string, specs: readonly PlacedSpec[]): Location[] {
  const naming = specs
    .filter(({ reference }) => reference === path)
    .map((spec) => ({ uri: repository.folder.uriOf(spec.file), range: rangeOf(spec.positionOf('reference')) }));
  const held = repository.results.filter(({ reference }) => reference?.file === path);
  return [...naming, ...held.map((result) => placeOf(repository, result))];
}

function ofSpec(repository: Repository, path: string): Location[] {
  return repository.results.filter(({ spec }) => spec?.file === path).map((result) => placeOf(repository, result));
}

function placeOf({ folder }: Repository, result: JudgedResult): Location {
  const worst = result.points[result.worst ?? 0];
  const line = (worst === undefined ? undefined : result.table.rows[worst.row]?.line) ?? 0;
  return { uri: folder.uriOf(result.file), range: rangeOf({ line: Math.max(1, line), column: 1 }) };
}
