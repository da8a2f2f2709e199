import type { FileKind } from '../files/recognise';
import type { RevisionFiles } from '../ports/revisions';
import { yamlOfParts, yamlParts, type YamlParts } from '../session/yamlOfState';
import type { ReviewSession } from '../session/reviewSession';
import { PARTS, partOfKey, partOfKind, type Part, type Side } from './parts';
import type { Shown, ShownFiles } from './shownFiles';

/** A file that differs between base and head. */
interface ChangedFile {
  readonly path: string;
  readonly kind: FileKind;
  readonly inBase: boolean;
  readonly inHead: boolean;
  /** Both states of a spec or of damper-review.yaml, as far as they can be read. */
  readonly parts?: { readonly base: YamlParts | undefined; readonly head: YamlParts | undefined };
}

export interface StatePorts {
  readonly session: ReviewSession;
  /** What the session reads. */
  readonly files: ShownFiles;
  readonly base: RevisionFiles;
}

/**
 * Every state between the base of a branch and its head that is of interest: all of one, all of the other, and either with one part taken
 * from the other. One session judges them all, so that each costs only what rests on its difference.
 */
export class BranchStates {
  readonly #ports: StatePorts;
  readonly #files: readonly ChangedFile[];
  /** Parts of results that were written again from the same logs: what their numbers changed with. */
  #resultParts: ReadonlyMap<string, readonly Part[]> = new Map();

  private constructor(ports: StatePorts, files: readonly ChangedFile[]) {
    this.#ports = ports;
    this.#files = files;
  }

  /** @param changed paths that differ, with their kinds. @throws FilePortError */
  static async of(ports: StatePorts, changed: ReadonlyMap<string, FileKind>): Promise<BranchStates> {
    const files: ChangedFile[] = [];
    const differing = ports.files.show(new Map());
    if (differing.length > 0) ports.session.invalidate(differing);
    for (const [path, kind] of changed) {
      const inBase = ports.base.blobs.has(path);
      const inHead = (await ports.files.stat(path)) !== undefined;
      const yaml = kind === 'spec' || kind === 'config';
      const parts = yaml && {
        base: inBase ? yamlParts(path, await ports.base.read(path)) : undefined,
        head: inHead ? yamlParts(path, await ports.files.read(path)) : undefined,
      };
      files.push({ path, kind, inBase, inHead, ...(parts && { parts }) });
    }
    return new BranchStates(ports, files);
  }

  /** Says what results that were written again from the same logs changed with. */
  attribute(results: ReadonlyMap<string, readonly Part[]>): void {
    this.#resultParts = results;
  }

  /** The session judges all of one side from here on. */
  showAll(side: Side): void {
    this.#show(() => side);
  }

  /** The session judges `side`, but for one part that is as on the other side. */
  showBut(side: Side, part: Part): void {
    const other: Side = side === 'base' ? 'head' : 'base';
    this.#show((one) => (one === part ? other : side));
  }

  /** The session judges head with some files as given. */
  showHeadWith(files: ReadonlyMap<string, Shown>): void {
    this.#use(files);
  }

  /** Parts that differ at all, in the order of causes. */
  changedParts(): readonly Part[] {
    const parts = new Set(this.#files.flatMap((file) => this.#partsOf(file)));
    return PARTS.filter((part) => parts.has(part));
  }

  #partsOf(file: ChangedFile): readonly Part[] {
    const { kind, path, parts } = file;
    if (kind !== 'spec' && kind !== 'config') return this.#resultParts.get(path) ?? [partOfKind(kind)];
    const [base, head] = [parts?.base ?? {}, parts?.head ?? {}];
    const keys = new Set([...Object.keys(base), ...Object.keys(head)]);
    const differing = [...keys].filter((key) => JSON.stringify(base[key]) !== JSON.stringify(head[key]));
    return file.inBase && file.inHead && parts?.base !== undefined && parts.head !== undefined
      ? differing.map((key) => partOfKey(kind, key))
      : [kind === 'spec' ? 'spec' : 'rules', ...differing.map((key) => partOfKey(kind, key))];
  }

  #show(sideOf: (part: Part) => Side): void {
    const shown = new Map<string, Shown>();
    for (const file of this.#files) {
      const one = this.#shownOf(file, sideOf);
      if (one !== undefined) shown.set(file.path, one);
    }
    this.#use(shown);
  }

  /** An empty list would say that anything may have changed. */
  #use(shown: ReadonlyMap<string, Shown>): void {
    const differing = this.#ports.files.show(shown);
    if (differing.length > 0) this.#ports.session.invalidate(differing);
  }

  /** Undefined where the file is the work tree's own. */
  #shownOf(file: ChangedFile, sideOf: (part: Part) => Side): Shown | undefined {
    const { kind, parts, path } = file;
    if (kind === 'spec' || kind === 'config') return this.#shownYaml(file, parts, sideOf);
    const own = this.#resultParts.get(path) ?? [partOfKind(kind)];
    return own.every((part) => sideOf(part) === 'head') ? undefined : this.#ofBase(file);
  }

  /** A file that only one side has is whole or absent with the part of its remaining keys; damper-review.yaml is empty where it is absent. */
  #shownYaml(file: ChangedFile, parts: ChangedFile['parts'], sideOf: (part: Part) => Side): Shown | undefined {
    const kind = file.kind === 'spec' ? 'spec' : 'config';
    const whole = sideOf(kind === 'spec' ? 'spec' : 'rules');
    const base = file.inBase ? parts?.base : kind === 'config' ? EMPTY : undefined;
    const head = file.inHead ? parts?.head : kind === 'config' ? EMPTY : undefined;
    if (base === undefined || head === undefined) return whole === 'head' ? undefined : this.#ofBase(file);
    const keys = [...new Set([...Object.keys(base), ...Object.keys(head)])];
    const sides = new Set(keys.map((key) => sideOf(partOfKey(kind, key))));
    if (sides.size === 1) return sides.has('head') ? undefined : this.#ofBase(file);
    const composed = keys.flatMap((key) => {
      const from = sideOf(partOfKey(kind, key)) === 'head' ? head : base;
      return Object.hasOwn(from, key) ? [[key, from[key]] as const] : [];
    });
    return yamlOfParts(Object.fromEntries(composed));
  }

  #ofBase(file: ChangedFile): Shown {
    return file.inBase ? this.#ports.base : 'absent';
  }
}

const EMPTY: YamlParts = { formatVersion: '1' };
