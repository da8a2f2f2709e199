import type { ProblemList } from '../problemText';
import { keyPathText } from './validate';
import type { YamlTree } from './yamlTree';

/** A part of a loosely built document, read step by step; what is absent has no text, keys or items. */
export class JsonPart {
  readonly value: unknown;

  constructor(
    private readonly tree: YamlTree,
    private readonly problems: ProblemList,
    private readonly path: readonly PropertyKey[],
    value: unknown = tree.value,
  ) {
    this.value = value;
  }

  key(name: string): JsonPart {
    const record = this.isMap() ? (this.value as Readonly<Record<string, unknown>>) : {};
    return new JsonPart(
      this.tree,
      this.problems,
      [...this.path, name],
      Object.hasOwn(record, name) ? record[name] : null,
    );
  }

  keys(): readonly string[] {
    return this.isMap() ? Object.keys(this.value as object) : [];
  }

  items(): readonly JsonPart[] {
    const list: readonly unknown[] = Array.isArray(this.value) ? this.value : [];
    return list.map((item, index) => new JsonPart(this.tree, this.problems, [...this.path, index], item));
  }

  text(): string | undefined {
    return typeof this.value === 'string' ? this.value : undefined;
  }

  isPresent(): boolean {
    return this.value !== null && this.value !== undefined;
  }

  isMap(): boolean {
    return typeof this.value === 'object' && this.value !== null && !Array.isArray(this.value);
  }

  isList(): boolean {
    return Array.isArray(this.value);
  }

  fault(message: string, remedy: string, rule?: string): void {
    const text = this.text();
    this.problems.add({
      position: this.tree.keyPosition(this.path),
      ...(this.path.length > 0 ? { column: keyPathText(this.path) } : {}),
      ...(text === undefined ? {} : { value: text }),
      ...(rule === undefined ? {} : { rule }),
      message,
      remedy,
    });
  }
}
