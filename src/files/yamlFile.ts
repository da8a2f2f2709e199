import type { z } from 'zod';
import { decodeText } from './decodeText';
import type { FileProblem, SourcePosition } from './problem';
import { keyPathOf, validate } from './schema/validate';
import { readYaml } from './schema/yamlTree';
import type { YamlTree } from './schema/yamlTree';

/** A YAML file of ours, checked; `value` is absent where anything is wrong. */
export interface YamlFile<Output> {
  readonly value?: Output;
  readonly tree?: YamlTree;
  readonly problems: FileProblem[];
  /** Path of each problem of the schema. */
  readonly paths: readonly (readonly PropertyKey[])[];
}

/** Reads and checks a YAML file against a schema. */
export function readYamlFile<Schema extends z.ZodType>(
  file: string,
  bytes: Uint8Array,
  schema: Schema,
  rule: string,
): YamlFile<z.output<Schema>> {
  const decoded = decodeText(file, bytes);
  if ('problem' in decoded) return { problems: [decoded.problem], paths: [] };
  const { tree, problems } = readYaml(file, decoded.text, rule);
  if (tree === undefined) return { problems, paths: [] };
  return { ...validate(schema, tree, file, rule), tree };
}

/** Where a key stands, by its path as text; the nearest parent where it is absent. */
export function keyPositions(tree: YamlTree | undefined): (keyPath: string) => SourcePosition {
  return (keyPath) => tree?.keyPosition(keyPathOf(keyPath)) ?? { line: 1, column: 1 };
}
