import type { z } from 'zod';
import { unknownKeyRemedy } from '../nearest';
import type { FileProblem, SourcePosition } from '../problem';
import { ProblemList, quotedValue } from '../problemText';
import { knownKeys } from './knownKeys';
import type { IssueParams } from './faults';
import { BRACKET_UNIT_REMEDY } from './yamlTree';
import type { YamlTree } from './yamlTree';

type Issue = z.core.$ZodIssue;
type Path = readonly PropertyKey[];

/** A value checked against a schema, or everything wrong with it. */
export interface Validated<Output> {
  readonly value?: Output;
  readonly problems: FileProblem[];
  /** Path of each problem, in the same order. */
  readonly paths: readonly Path[];
}

/** The validator would write and compile a function for every map of a schema: 4 ms at a start, which a few dozen specs never win back. */
export const WITHOUT_COMPILING = { jitless: true } as const;

/** Checks a tree against a schema and says each fault at its key, with its remedy. */
export function validate<Schema extends z.ZodType>(
  schema: Schema,
  tree: YamlTree,
  file: string,
  rule: string,
): Validated<z.output<Schema>> {
  const result = schema.safeParse(tree.value, WITHOUT_COMPILING);
  if (result.success) return { value: result.data, problems: [], paths: [] };
  const faults = result.error.issues.flatMap((issue) => faultsOf(issue, [], schema, tree));
  faults.sort((a, b) => a.position.line - b.position.line || a.position.column - b.position.column);
  const problems = new ProblemList(file, rule);
  for (const { path, ...fault } of faults)
    problems.add({ ...fault, ...(path.length > 0 ? { column: quotedValue(keyPathText(path)) } : {}) });
  return { problems: problems.all(), paths: faults.map((fault) => fault.path) };
}

/** A path as people write it: `test.velocities[2].from`. */
export function keyPathText(path: Path): string {
  return path
    .map((key, index) => (typeof key === 'number' ? `[${key}]` : `${index === 0 ? '' : '.'}${String(key)}`))
    .join('');
}

/** The parts of a path that {@link keyPathText} wrote. */
export function keyPathOf(text: string): Path {
  const parts = text.match(/[^.[\]]+|\[\d+\]/g) ?? [];
  return parts.map((part) => (part.startsWith('[') ? Number(part.slice(1, -1)) : part));
}

interface Fault {
  readonly path: Path;
  readonly position: SourcePosition;
  readonly value?: string;
  readonly message: string;
  readonly remedy: string;
  readonly rule?: string;
}

function faultsOf(issue: Issue, before: Path, schema: z.ZodType, tree: YamlTree): Fault[] {
  const path = [...before, ...issue.path];
  const place = { path, position: tree.keyPosition(path), ...valueAt(tree.value, path) };
  switch (issue.code) {
    case 'unrecognized_keys':
      return issue.keys.map((key) => unknownKey(key, path, schema, tree));
    case 'invalid_union': {
      const branch = likeliestBranch(issue.errors);
      return branch === undefined
        ? [{ ...place, ...wrongKind(tree, path, 'text or keys') }]
        : branch.flatMap((inner) => faultsOf(inner, path, schema, tree));
    }
    case 'invalid_type':
      return [{ ...place, ...wrongKind(tree, path, KIND_WORDS[issue.expected] ?? issue.expected) }];
    case 'invalid_value': {
      const words = issue.values.map(String);
      return [
        {
          ...place,
          message: `'${place.value ?? ''}' is none of the words that may stand here.`,
          remedy: unknownKeyRemedy(place.value ?? '', words),
        },
      ];
    }
    case 'custom':
      return [{ ...place, message: issue.message, ...(issue.params as unknown as IssueParams) }];
    default:
      return [{ ...place, message: issue.message, remedy: 'Write it as docs/formats.md says.' }];
  }
}

const KIND_WORDS: Readonly<Record<string, string>> = {
  string: 'one value',
  object: 'keys with values',
  record: 'keys with values',
  array: 'a list',
};

/** Of the ways in which a union could be meant, the one whose kind (text, list, keys) fits what stands there. */
function likeliestBranch(branches: readonly (readonly Issue[])[]): readonly Issue[] | undefined {
  const fitting = branches.filter(
    (issues) => !issues.some(({ code, path }) => code === 'invalid_type' && path.length === 0),
  );
  return fitting.find((issues) => issues.some(({ code }) => code !== 'invalid_value')) ?? fitting[0];
}

function wrongKind(tree: YamlTree, path: Path, expected: string): { message: string; remedy: string } {
  const actual = partAt(tree.value, path);
  const name = String(path.at(-1) ?? 'file');
  if (actual === undefined) {
    if (path.length === 0) return { message: 'The file is empty.', remedy: 'Write at least formatVersion: 1.' };
    return {
      message: `The key '${name}' is missing.`,
      remedy: `Add '${name}: …' here; docs/formats.md says what it holds.`,
    };
  }
  if (Array.isArray(actual) && actual.length === 1 && expected === 'one value') {
    return { message: `'${name}' is a list of one item; ${expected} is expected.`, remedy: BRACKET_UNIT_REMEDY };
  }
  return {
    message: `'${name}' is ${kindOf(actual)}; ${expected} ${expected.startsWith('keys') ? 'are' : 'is'} expected.`,
    remedy: KIND_REMEDIES[expected] ?? 'Write it as docs/formats.md says.',
  };
}

const KIND_REMEDIES: Readonly<Record<string, string>> = {
  'a list': 'Put it between square brackets: [ ... ].',
  'keys with values': 'Write keys and values: { key: value }.',
  'one value': 'Write one value, without brackets or keys.',
};

function kindOf(value: unknown): string {
  if (Array.isArray(value)) return 'a list';
  return typeof value === 'string' ? 'one value' : 'a set of keys';
}

function unknownKey(key: string, parent: Path, schema: z.ZodType, tree: YamlTree): Fault {
  const path = [...parent, key];
  const where = parent.length === 0 ? '' : ` in '${keyPathText(parent)}'`;
  return {
    path,
    position: tree.keyPosition(path),
    value: key,
    message: `The key '${key}' is not known${where}.`,
    remedy: unknownKeyRemedy(key, knownKeys(schema, parent)),
  };
}

function valueAt(root: unknown, path: Path): { value: string } | object {
  const part = partAt(root, path);
  if (typeof part === 'string') return { value: part };
  if (Array.isArray(part) && part.every((item) => typeof item === 'string')) return { value: `[${part.join(', ')}]` };
  return {};
}

function partAt(root: unknown, path: Path): unknown {
  let part = root;
  for (const key of path) {
    if (typeof part !== 'object' || part === null || !Object.hasOwn(part, key)) return undefined;
    part = (part as Record<PropertyKey, unknown>)[key];
  }
  return part;
}
