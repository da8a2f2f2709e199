import type { Spec } from '../files/spec';

/** What a spec says, key by key, for telling where two specs differ: SI values as text by their path. */
export function flatKeys(spec: Spec): ReadonlyMap<string, string> {
  const keys = new Map<string, string>();
  collect(keys, '', { ...spec, file: undefined });
  return keys;
}

function collect(keys: Map<string, string>, path: string, value: unknown): void {
  if (Array.isArray(value)) collectItems(keys, path, value);
  else if (typeof value === 'object' && value !== null) {
    for (const [key, inner] of Object.entries(value)) collect(keys, join(path, key), inner);
  } else if (isPlain(value)) keys.set(path, String(value));
}

function collectItems(keys: Map<string, string>, path: string, items: readonly unknown[]): void {
  if (items.every(isPlain)) keys.set(path, items.map(String).join(', '));
  else for (const [i, item] of items.entries()) collect(keys, join(path, nameOfItem(item) ?? String(i)), item);
}

function isPlain(value: unknown): value is string | number | boolean {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean';
}

/** Adjusters are known by their id, not by their place in the list. */
function nameOfItem(item: unknown): string | undefined {
  return typeof item === 'object' && item !== null && 'id' in item && typeof item.id === 'string' ? item.id : undefined;
}

function join(path: string, key: string): string {
  return path === '' ? key : `${path}.${key}`;
}
