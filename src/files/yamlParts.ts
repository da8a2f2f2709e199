import { decodeText } from './decodeText';
import { readYaml } from './schema/yamlTree';

/** The top-level keys of a spec or of damper-review.yaml as plain data, every scalar as its text; undefined where it cannot be read. */
export type YamlParts = Readonly<Record<string, unknown>>;

export function yamlParts(file: string, bytes: Uint8Array): YamlParts | undefined {
  const decoded = decodeText(file, bytes);
  if ('problem' in decoded) return undefined;
  const value = readYaml(file, decoded.text, 'file-invalid').tree?.value;
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as YamlParts) : undefined;
}

/** The text of a file that says what the parts say. It is JSON, which is YAML: meant to be read again, not to be kept. */
export function yamlOfParts(parts: YamlParts): Uint8Array {
  return new TextEncoder().encode(`${JSON.stringify(parts)}\n`);
}

/** Every value below some top-level keys by its path, as its file spells it: `tolerance.rebound.relative` is `5 %`. */
export function spelledKeys(parts: YamlParts, keys: (key: string) => boolean): ReadonlyMap<string, string> {
  const found = new Map<string, string>();
  for (const [key, value] of Object.entries(parts)) if (keys(key)) collect(found, key, value);
  return found;
}

function collect(found: Map<string, string>, path: string, value: unknown): void {
  if (Array.isArray(value) || typeof value !== 'object' || value === null) found.set(path, spelled(value));
  else for (const [key, inner] of Object.entries(value)) collect(found, `${path}.${key}`, inner);
}

/** Lists as one value, so that a speed that was taken out reads as such. */
function spelled(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(spelled).join(', ')}]`;
  if (typeof value !== 'object' || value === null) return String(value);
  const entries = Object.entries(value).map(([key, inner]) => `${key}: ${spelled(inner)}`);
  return `{ ${entries.join(', ')} }`;
}
