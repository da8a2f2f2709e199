import { keyChanges, type KeyChange } from '../review/branch/keyChange';
import { isMoved, referenceMove } from '../review/branch/referenceMove';
import type {
  ChangeKind,
  ConfigMoves,
  NamedMove,
  SpecMove,
  SpecSide,
  WaiverMove,
} from '../review/branch/repositoryMoves';
import type { Spec } from '../files/spec';
import type { Waiver } from '../files/reviewConfig';
import { speedText } from '../review/wording';
import { deepEqual } from './deepEqual';
import { PLACES, sameMapping } from './fileQueries';
import { byText } from './logGroups';
import { spelled, type RepositoryState, type SpecState } from './repositoryState';

/** What two states differ in besides measurements: specs with their curves, and damper-review.yaml. */
export interface RepositoryMoves {
  readonly specs: readonly SpecMove[];
  readonly config: ConfigMoves;
}

export function movesBetween(before: RepositoryState, after: RepositoryState): RepositoryMoves {
  const specs = specPairs(before, after).flatMap(([a, b]) => specMove(a, b));
  return { specs: specs.sort((a, b) => byText(a.id, b.id)), config: configMoves(before, after) };
}

/** By path, then by id: a renamed file is the same spec. */
function specPairs(
  before: RepositoryState,
  after: RepositoryState,
): readonly (readonly [SpecState | undefined, SpecState | undefined])[] {
  const left = new Map(after.specs);
  const pairs: [SpecState | undefined, SpecState | undefined][] = [];
  for (const [path, state] of before.specs) {
    const same = left.has(path) ? path : pathOfId(left, state.spec.id);
    pairs.push([state, same === undefined ? undefined : left.get(same)]);
    if (same !== undefined) left.delete(same);
  }
  return [...pairs, ...[...left.values()].map((state) => [undefined, state] as const)];
}

function pathOfId(specs: ReadonlyMap<string, SpecState>, id: string): string | undefined {
  return [...specs].find(([, { spec }]) => spec.id === id || spec.formerly.includes(id))?.[0];
}

const TOLERANCE_KEYS: ReadonlySet<string> = new Set(['tolerance', 'limits', 'purpose', 'normalise']);

function specMove(before: SpecState | undefined, after: SpecState | undefined): SpecMove[] {
  const id = (after ?? before)!.spec.id;
  if (before === undefined || after === undefined) {
    const side = before === undefined ? { after: sideOf(after!) } : { before: sideOf(before) };
    return [{ id, ...side, tolerance: [], plan: [], rules: [], other: [], narrowed: [] }];
  }
  const changes = (keys: (key: string) => boolean): readonly KeyChange[] =>
    keyChanges(spelled(before.parts, keys), spelled(after.parts, keys));
  const reference =
    before.reference === undefined || after.reference === undefined
      ? undefined
      : referenceMove(before.reference, after.reference, before.spec.tolerance);
  const [a, b] = [before.spec, after.spec];
  const judgedBy = (spec: Spec) => ({
    tolerance: spec.tolerance,
    limits: spec.limits,
    purpose: spec.purpose,
    normalise: spec.normalise,
  });
  const move: SpecMove = {
    id,
    before: sideOf(before),
    after: sideOf(after),
    ...(reference !== undefined && isMoved(reference) && { reference }),
    // What is merely spelled otherwise has not moved.
    tolerance: deepEqual(judgedBy(a), judgedBy(b)) ? [] : changes((key) => TOLERANCE_KEYS.has(key)),
    plan: deepEqual(a.test, b.test) ? [] : changes((key) => key === 'test'),
    rules: deepEqual(a.rules, b.rules) ? [] : changes((key) => key === 'rules'),
    other: deepEqual(othersOf(a), othersOf(b))
      ? []
      : changes((key) => !TOLERANCE_KEYS.has(key) && key !== 'test' && key !== 'rules'),
    narrowed: narrowedTexts(a, b),
  };
  const same =
    move.reference === undefined &&
    before.spec.file === after.spec.file &&
    (before.reference === undefined) === (after.reference === undefined) &&
    [move.tolerance, move.plan, move.rules, move.other].every((list) => list.length === 0);
  return same ? [] : [move];
}

function sideOf({ spec, reference }: SpecState): SpecSide {
  return { spec, ...(reference !== undefined && { reference }) };
}

function othersOf(spec: Spec): unknown {
  const rest: Partial<Record<keyof Spec, unknown>> = { ...spec };
  for (const key of ['file', 'test', 'rules', 'tolerance', 'limits', 'purpose', 'normalise'] as const)
    rest[key] = undefined;
  return rest;
}

/** What the later plan asks for less. */
function narrowedTexts({ test: a }: Spec, { test: b }: Spec): readonly string[] {
  const removed = a.velocities.filter((speed) => !b.velocities.some((other) => Math.abs(other - speed) < 1e-9));
  const texts: string[] = [];
  if (removed.length > 0) texts.push(`the plan no longer holds ${removed.map(speedText).join(', ')}`);
  if (a.cycles !== undefined && (b.cycles === undefined || b.cycles < a.cycles))
    texts.push(`cycles ${a.cycles} became ${b.cycles ?? 'free'}`);
  if (a.temperature !== undefined) {
    const [low, high] = a.temperature;
    if (b.temperature === undefined) texts.push('the temperature window is gone');
    else if (b.temperature[0] < low || b.temperature[1] > high) texts.push('the temperature window is wider');
  }
  return texts;
}

function configMoves(before: RepositoryState, after: RepositoryState): ConfigMoves {
  const [a, b] = [before.config, after.config];
  const spelledRules = (state: RepositoryState) => spelled(state.configParts, (key) => key === 'rules');
  return {
    before: a,
    after: b,
    mappings: mappingMoves(before, after),
    benches: benchMoves(before, after),
    waivers: waiverMoves(a.waivers, b.waivers),
    rules: deepEqual(a.rules, b.rules) ? [] : keyChanges(spelledRules(before), spelledRules(after)),
  };
}

/** Mappings are known by the pattern of their files. */
function mappingMoves(before: RepositoryState, after: RepositoryState): readonly NamedMove[] {
  const patterns = [...new Set([...before.config.logs, ...after.config.logs].map(({ files }) => files))];
  return patterns.flatMap((name): NamedMove[] => {
    const [a, b] = [before, after].map((state) => state.config.logs.find(({ files }) => files === name));
    if (sameMapping(a, b)) return [];
    const keys = keyChanges(flat(a), flat(b));
    return [{ name, change: changeOf(a, b), keys, position: after.config.positionOf(b?.keyPath ?? 'logs') }];
  });
}

function benchMoves(before: RepositoryState, after: RepositoryState): readonly NamedMove[] {
  const ids = [...new Set([...Object.keys(before.config.benches), ...Object.keys(after.config.benches)])];
  return ids.flatMap((name): NamedMove[] => {
    const [a, b] = [before.config.benches[name], after.config.benches[name]];
    if (deepEqual(a, b)) return [];
    const keysOf = (state: RepositoryState) =>
      new Map(
        [...spelled(state.configParts, (key) => key === 'benches')]
          .filter(([key]) => key.startsWith(`benches.${name}.`))
          .map(([key, value]) => [key.slice(`benches.${name}.`.length), value]),
      );
    const keys = keyChanges(keysOf(before), keysOf(after));
    return [{ name, change: changeOf(a, b), keys, position: after.config.positionOf(`benches.${name}`) }];
  });
}

/** A waiver is the same one as long as it covers the same findings; what it says of itself and its last day may change. */
function waiverMoves(before: readonly Waiver[], after: readonly Waiver[]): readonly WaiverMove[] {
  const left = [...before];
  const moves = after.flatMap((waiver): WaiverMove[] => {
    const at = left.findIndex((other) => other.rule === waiver.rule && other.file === waiver.file);
    const [old] = at < 0 ? [] : left.splice(at, 1);
    if (old === undefined) return [{ waiver, change: 'added' }];
    return deepEqual(old, waiver, PLACES) ? [] : [{ waiver, change: 'changed', until: old.until }];
  });
  return [...moves, ...left.map((waiver): WaiverMove => ({ waiver, change: 'removed' }))];
}

function changeOf(before: unknown, after: unknown): ChangeKind {
  return before === undefined ? 'added' : after === undefined ? 'removed' : 'changed';
}

function flat(value: unknown, path = ''): Map<string, string> {
  const found = new Map<string, string>();
  if (typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean')
    return found.set(path, String(value));
  if (typeof value !== 'object' || value === null) return found;
  for (const [key, inner] of Object.entries(value)) {
    if (path === '' && (key === 'file' || key === 'keyPath' || key === 'files')) continue;
    for (const [name, text] of flat(inner, path === '' ? key : `${path}.${key}`)) found.set(name, text);
  }
  return found;
}
