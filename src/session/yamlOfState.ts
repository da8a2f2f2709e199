import { yamlOfParts as written, yamlParts as read, type YamlParts as Parts } from '../files/yamlParts';

/** Specs and damper-review.yaml by their top-level keys, for whoever mixes two states of a repository. */
export type YamlParts = Parts;

export function yamlParts(file: string, bytes: Uint8Array): YamlParts | undefined {
  return read(file, bytes);
}

export function yamlOfParts(parts: YamlParts): Uint8Array {
  return written(parts);
}
