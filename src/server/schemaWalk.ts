import type { z } from 'zod';
import { jsonSchemaOf } from '../files/schema/jsonSchema';
import { referencePreamble, resultPreamble } from '../files/schema/preambleSchema';
import { reviewConfigSchema } from '../files/schema/reviewConfigSchema';
import { specSchema } from '../files/schema/specSchema';
import { testLogPreamble } from '../files/schema/testLogPreamble';

/** A part of the JSON Schema that the one schema of a file gives. */
export interface SchemaNode {
  readonly description?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly string[];
  readonly examples?: readonly string[];
  readonly properties?: Readonly<Record<string, SchemaNode>>;
  readonly additionalProperties?: SchemaNode | boolean;
  readonly items?: SchemaNode;
  readonly anyOf?: readonly SchemaNode[];
  readonly allOf?: readonly SchemaNode[];
  readonly $ref?: string;
  readonly required?: readonly string[];
  readonly $defs?: Readonly<Record<string, SchemaNode>>;
}

export type DescribedFile = 'spec' | 'config' | 'result' | 'reference' | 'testLog';

const SCHEMAS: Readonly<Record<DescribedFile, () => z.ZodType>> = {
  spec: specSchema,
  config: reviewConfigSchema,
  result: resultPreamble,
  reference: referencePreamble,
  testLog: testLogPreamble,
};
const made = new Map<DescribedFile, SchemaNode>();

function rootOf(file: DescribedFile): SchemaNode {
  let root = made.get(file);
  if (root === undefined) made.set(file, (root = jsonSchemaOf(SCHEMAS[file]()) as SchemaNode));
  return root;
}

/** Every form that a value at a path may have; empty where the schema knows of none. */
export function schemaNodesAt(file: DescribedFile, path: readonly (string | number)[]): readonly SchemaNode[] {
  const root = rootOf(file);
  let nodes = forms(root, root);
  for (const step of path) nodes = nodes.flatMap((node) => next(node, step)).flatMap((node) => forms(node, root));
  return nodes;
}

/** The alternatives of a node, references followed. A description of the whole stands for those without one of their own. */
function forms(node: SchemaNode, root: SchemaNode, depth = 0): readonly SchemaNode[] {
  if (depth > 8) return [];
  if (node.$ref !== undefined) {
    const name = node.$ref.replace('#/$defs/', '');
    const target = root.$defs?.[name];
    return target === undefined
      ? []
      : forms({ ...target, ...(node.description !== undefined && { description: node.description }) }, root, depth + 1);
  }
  const choices = node.anyOf ?? node.allOf;
  if (choices === undefined) return [node];
  return choices
    .flatMap((choice) => forms(choice, root, depth + 1))
    .map((choice) =>
      node.description === undefined ? choice : { ...choice, description: choice.description ?? node.description },
    );
}

function next(node: SchemaNode, step: string | number): readonly SchemaNode[] {
  if (typeof step === 'number') return node.items === undefined ? [] : [node.items];
  if (node.properties !== undefined && Object.hasOwn(node.properties, step)) return [node.properties[step]!];
  return typeof node.additionalProperties === 'object' ? [node.additionalProperties] : [];
}

/** Keys that may stand in a map, with what each is for. */
export function keysOf(nodes: readonly SchemaNode[]): ReadonlyMap<string, SchemaNode> {
  return new Map(nodes.flatMap((node) => Object.entries(node.properties ?? {})));
}

/** What a value may be: words of a list, then examples. */
export function valuesOf(nodes: readonly SchemaNode[]): readonly string[] {
  const words = nodes.flatMap((node) => node.enum ?? []);
  const truth = nodes.some(
    (node) => [node.type].flat().includes('boolean') && node.enum === undefined && !isText(node),
  );
  return [...new Set([...words, ...(truth ? ['true', 'false'] : []), ...nodes.flatMap((node) => node.examples ?? [])])];
}

/** A text may be written as a number or a truth value too: it is not one of those. */
function isText(node: SchemaNode): boolean {
  const types = [node.type].flat();
  return types.includes('string') && types.includes('number');
}

export function descriptionOf(nodes: readonly SchemaNode[]): string | undefined {
  return nodes.find((node) => node.description !== undefined)?.description;
}
