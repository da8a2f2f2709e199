import { CompletionItemKind, type CompletionItem } from 'vscode-languageserver';
import { folderOf } from '../../files/paths';
import { RULES } from '../../review/rules/catalogue';
import type { Spec } from '../../files/spec';
import { yamlPlaceIn, type FileText } from '../fileText';
import { keysOf, schemaNodesAt, valuesOf, type SchemaNode } from '../schemaWalk';
import { valuePath, type YamlPlace } from '../yamlPlace';

/** What a repository offers as values. */
export interface Offered {
  readonly specs: readonly Spec[];
  /** Paths of reference curves. */
  readonly references: readonly string[];
}

/** Keys and values of a spec, of damper-review.yaml and of preambles, from the one schema. */
export function completionsAt(file: FileText, line: number, character: number, offered: Offered): CompletionItem[] {
  const place = yamlPlaceIn(file, line, character);
  if (place === undefined || file.kind === undefined) return [];
  const range = { start: { line, character: place.start }, end: { line, character } };
  const items = place.key === undefined ? keyItems(file, place) : valueItems(file, place, offered);
  return items.map((item) => ({ ...item, textEdit: { range, newText: item.insertText ?? item.label } }));
}

function keyItems(file: FileText, { path }: YamlPlace): CompletionItem[] {
  if (path.at(-1) === 'rules') return ruleItems(': ');
  if (file.kind === undefined) return [];
  const known = keysOf(schemaNodesAt(file.kind, path));
  return [...known].map(([key, node]) => ({
    label: key,
    kind: CompletionItemKind.Property,
    insertText: `${key}${isMap(node) && isBlock(file) && path.length === 0 ? ':' : ': '}`,
    ...(node.description !== undefined && { documentation: node.description }),
  }));
}

function isMap(node: SchemaNode): boolean {
  return node.properties !== undefined || typeof node.additionalProperties === 'object';
}

function isBlock({ kind }: FileText): boolean {
  return kind === 'spec' || kind === 'config';
}

function valueItems(file: FileText, place: YamlPlace, { specs, references }: Offered): CompletionItem[] {
  if (file.kind === undefined) return [];
  const { key, path } = place;
  if (key === 'rule' && path.includes('waivers')) return ruleItems('');
  if (key === 'spec')
    return specs.map((spec) => ({
      label: spec.id,
      kind: CompletionItemKind.Reference,
      ...(spec.title !== undefined && { documentation: spec.title }),
    }));
  if (key === 'reference' && file.kind === 'spec')
    return references.map((reference) => ({
      label: seenFrom(folderOf(file.path), reference),
      kind: CompletionItemKind.File,
    }));
  return valuesOf(schemaNodesAt(file.kind, valuePath(place))).map((value) => ({
    label: value,
    kind: CompletionItemKind.Value,
  }));
}

function ruleItems(after: string): CompletionItem[] {
  return [...RULES.values()]
    .filter(({ docs }) => docs !== undefined)
    .map(({ id, title, sentence }) => ({
      label: id,
      kind: CompletionItemKind.EnumMember,
      insertText: `${id}${after}`,
      detail: title,
      documentation: sentence,
    }));
}

/** A path of the repository as a file in a folder writes it. */
function seenFrom(folder: string, path: string): string {
  const from = folder === '' ? [] : folder.split('/');
  const to = path.split('/');
  let shared = 0;
  while (shared < from.length && shared < to.length - 1 && from[shared] === to[shared]) shared += 1;
  return [...from.slice(shared).map(() => '..'), ...to.slice(shared)].join('/');
}
