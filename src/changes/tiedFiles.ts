import type { FileTies, SpecTies, TestTies } from '../session/fileTies';
import { Groups } from './groups';
import { Reach } from './reach';

/** A file with its ties in one of the two states. */
export interface TiedFile {
  readonly path: string;
  readonly ties: FileTies;
}

/**
 * What judging may touch where some files changed:
 * - a spec or its reference: every test of the spec;
 * - a result or a log: the tests of its damper by that spec, as they stand before and after each other;
 * - with any test of a spec: the spec, its reference with what that was adopted from, runs that were repeated (their scatter counts for
 *   all), endurance logs;
 * - check standards always: their scatter counts where a spec has no repeats of its own;
 * - a result with its logs, a log with the results that name it.
 *
 * @param files every file of ours, as it is, and those that changed as they were as well
 * @returns paths, and names of no file
 */
export function tiedFiles(files: readonly TiedFile[], changed: ReadonlySet<string>): ReadonlySet<string> {
  const tied = new Ties(files, changed);
  return tied.reached();
}

class Ties {
  readonly #reach = new Reach();
  readonly #seeds: Set<string>;
  readonly #changed: ReadonlySet<string>;
  /** Ids of one spec. */
  readonly #ids = new Groups();
  readonly #dampers = new Set<string>();
  /** Runs of each build, as far as they are entries of their own. */
  readonly #runs = new Map<string, Set<string>>();

  constructor(files: readonly TiedFile[], changed: ReadonlySet<string>) {
    this.#changed = changed;
    this.#seeds = new Set(changed);
    for (const { ties } of files) if (ties.kind === 'spec') this.#joinIds(ties.ids);
    const named = new Set(
      files.flatMap(({ path, ties }) => (ties.kind === 'result' && !changed.has(path) ? ties.paths : [])),
    );
    for (const { path, ties } of files) {
      if (ties.kind === 'spec') this.#spec(path, ties);
      else if (ties.kind === 'naming') for (const other of ties.paths) this.#reach.join(path, other);
      else this.#test(path, ties, ties.kind === 'result' || !named.has(path));
    }
  }

  reached(): ReadonlySet<string> {
    return this.#reach.from(this.#seeds);
  }

  #joinIds([first, ...others]: readonly string[]): void {
    for (const id of others) this.#ids.join(first!, id);
  }

  #spec(path: string, { ids, paths, isForAll }: SpecTies): void {
    const spec = this.#ids.groupOf(ids[0] ?? '');
    this.#reach.join(path, ofSpec(spec));
    for (const reference of paths) this.#reach.lead(path, reference);
    const isChanged = [path, ...paths].some((one) => this.#changed.has(one));
    if (isChanged || isForAll) this.#seeds.add(allOf(spec));
  }

  #test(path: string, { spec: id, serial, build, run, paths, isForSpec }: TestTies, isEntry: boolean): void {
    const spec = this.#ids.groupOf(id);
    const damper = ofDamper(spec, serial);
    this.#reach.join(path, damper);
    if (!this.#dampers.has(damper)) {
      this.#dampers.add(damper);
      this.#reach.lead(damper, ofSpec(spec));
      this.#reach.lead(allOf(spec), damper);
    }
    for (const log of paths) this.#reach.join(path, log);
    if (isForSpec) this.#reach.lead(ofSpec(spec), path);
    if (!isEntry) return;
    const key = `${damper}\0${build}`;
    const runs = this.#runs.get(key) ?? new Set<string>();
    this.#runs.set(key, runs.add(run));
    if (runs.size === 2) this.#reach.lead(ofSpec(spec), damper);
  }
}

/* Names that are no path: none begins with a zero. */

/** What every test of a spec rests on. */
function ofSpec(spec: string): string {
  return `\0of ${spec}`;
}

/** Every test of a spec. */
function allOf(spec: string): string {
  return `\0all ${spec}`;
}

function ofDamper(spec: string, serial: string): string {
  return `\0damper ${spec}\0${serial}`;
}
