import type { z } from 'zod';
import { decodeText } from './decodeText';
import type { FileProblem } from './problem';
import type { Bench, LogMapping, ReviewConfig, Waiver } from './reviewConfig';
import { reviewConfigSchema } from './schema/reviewConfigSchema';
import { validate } from './schema/validate';
import { readYaml } from './schema/yamlTree';
import type { YamlTree } from './schema/yamlTree';
import { withoutUndefined } from './withoutUndefined';
import { keyPositions } from './yamlFile';

type ConfigInput = z.output<ReturnType<typeof reviewConfigSchema>>;
type LogInput = NonNullable<ConfigInput['logs']>[number];
type BenchInput = NonNullable<ConfigInput['benches']>[string];

const SECONDS_A_DAY = 86_400;
export const REVIEW_CONFIG_PATH = 'damper-review.yaml';

/** The configuration of a repository that has none. */
export function emptyReviewConfig(file: string = REVIEW_CONFIG_PATH): ReviewConfig {
  return toConfig(file, {}, undefined, (index) => index);
}

/**
 * Reads `damper-review.yaml`. An entry that is wrong is left out and the others hold, so that one bad waiver does not
 * unmap every log; each fault is an error of its own, so that nothing passes in silence.
 */
export function readReviewConfig(file: string, bytes: Uint8Array): { config: ReviewConfig; problems: FileProblem[] } {
  const decoded = decodeText(file, bytes);
  if ('problem' in decoded) return { config: emptyReviewConfig(file), problems: [decoded.problem] };
  const { tree, problems } = readYaml(file, decoded.text, 'file-invalid');
  if (tree === undefined) return { config: emptyReviewConfig(file), problems };
  const checked = validate(reviewConfigSchema(), tree, file, 'file-invalid');
  if (checked.value !== undefined)
    return { config: toConfig(file, checked.value, tree, (index) => index), problems: [] };
  return { config: usableParts(file, tree, checked.paths), problems: checked.problems };
}

/** Reads what is left when the faulty entries (`logs[2]`, `benches.north`) are taken out. */
function usableParts(file: string, tree: YamlTree, faults: readonly (readonly PropertyKey[])[]): ReviewConfig {
  const lies = (fault: readonly PropertyKey[], path: readonly PropertyKey[]) =>
    path.every((key, at) => fault[at] === key);
  const faulty = (...path: PropertyKey[]) => faults.some((fault) => lies(fault, path));
  const exactly = (...path: PropertyKey[]) => faults.some((fault) => fault.length === path.length && lies(fault, path));
  const root = isRecord(tree.value) ? tree.value : {};
  if (exactly('formatVersion') || exactly()) return emptyReviewConfig(file);
  const kept: Record<string, unknown> = { formatVersion: root['formatVersion'] };
  const listIndices: Record<string, number[]> = {};
  for (const name of ['logs', 'waivers'] as const) {
    const list = root[name];
    if (!Array.isArray(list) || exactly(name)) continue;
    const indices = list.map((_, index) => index).filter((index) => !faulty(name, index));
    listIndices[name] = indices;
    kept[name] = indices.map((index) => list[index] as unknown);
  }
  for (const name of ['benches', 'rules'] as const) {
    const record = root[name];
    if (!isRecord(record) || exactly(name)) continue;
    kept[name] = Object.fromEntries(Object.entries(record).filter(([key]) => !faulty(name, key)));
  }
  const result = reviewConfigSchema().safeParse(kept);
  if (!result.success) return emptyReviewConfig(file);
  return toConfig(file, result.data, tree, (index, name) => listIndices[name]?.[index] ?? index);
}

function toConfig(
  file: string,
  input: Partial<ConfigInput>,
  tree: YamlTree | undefined,
  indexInFile: (index: number, name: 'logs' | 'waivers') => number,
): ReviewConfig {
  const positionOf = keyPositions(tree);
  const benches = Object.entries(input.benches ?? {}).map(([id, bench]) => [id, toBench(id, bench)] as const);
  return {
    file,
    logs: (input.logs ?? []).map((log, index) => toMapping(file, `logs[${indexInFile(index, 'logs')}]`, log)),
    benches: Object.assign(Object.create(null) as Record<string, Bench>, Object.fromEntries(benches)),
    rules: input.rules ?? {},
    waivers: (input.waivers ?? []).map((waiver, index): Waiver => ({
      ...waiver,
      position: positionOf(`waivers[${indexInFile(index, 'waivers')}]`),
    })),
    positionOf,
  };
}

function toMapping(file: string, keyPath: string, input: LogInput): LogMapping {
  return withoutUndefined({ ...input, file, keyPath, skipLines: input.skipLines ?? 0, preamble: input.preamble ?? {} });
}

function toBench(id: string, input: BenchInput): Bench {
  const { loadCell, calibrationInterval, ...rest } = input;
  return withoutUndefined({
    id,
    ...rest,
    loadCellU: loadCell?.U,
    loadCellRelativeU: loadCell?.relativeU,
    calibrationInterval: calibrationInterval === undefined ? undefined : calibrationInterval / SECONDS_A_DAY,
  });
}

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
