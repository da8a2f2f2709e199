import type { z } from 'zod';
import { repositoryPath, folderOf } from './paths';
import type { FileProblem } from './problem';
import type { YamlTree } from './schema/yamlTree';
import { specSchema } from './schema/specSchema';
import type { Adjuster, PlacedSpec, SpecHardware, TestPlan, Tolerances } from './spec';
import { keyPositions, readYamlFile } from './yamlFile';
import { withoutUndefined } from './withoutUndefined';
import { expandVelocities } from './velocityPlan';
import { withoutPrototype } from './withoutPrototype';

type SpecInput = z.output<ReturnType<typeof specSchema>>;

/**
 * Reads a `.damper.yaml`. Absent keys stay absent; everything is in SI.
 *
 * @param file repository path, used in messages and as the base of the spec's own paths
 * @returns the spec only where nothing is wrong with it: a spec that is half understood would judge half
 */
export function readSpec(file: string, bytes: Uint8Array): { spec?: PlacedSpec; problems: FileProblem[] } {
  const { value, tree, problems } = readYamlFile(file, bytes, specSchema(), 'spec-invalid');
  if (value === undefined || tree === undefined) return { problems };
  const more = [...referenceProblems(file, value, tree), ...planProblems(file, value, tree)];
  return more.length > 0 ? { problems: more } : { spec: toSpec(file, value, tree), problems: [] };
}

function toSpec(file: string, input: SpecInput, tree: YamlTree): PlacedSpec {
  const reference = input.reference === undefined ? undefined : repositoryPath(input.reference, folderOf(file));
  return withoutUndefined({
    file,
    id: input.id,
    title: input.title,
    formerly: input.formerly ?? [],
    hardware: toHardware(input.hardware ?? {}),
    adjusters: Object.entries(input.adjusters ?? {}).map(([id, adjuster]) => toAdjuster(id, adjuster)),
    settings: withoutPrototype(
      Object.entries(input.settings ?? {}).map(([name, setting]) => [name, withoutPrototype(Object.entries(setting))]),
    ),
    test: toTestPlan(input.test ?? {}),
    tolerance: toTolerances(input.tolerance ?? {}),
    limits: withoutUndefined(input.limits ?? {}),
    purpose: input.purpose ?? 'release',
    role: input.role ?? 'product',
    normalise: input.normalise ?? false,
    reference: reference !== undefined && 'path' in reference ? reference.path : undefined,
    rules: input.rules ?? withoutPrototype([]),
    positionOf: keyPositions(tree),
  });
}

function toHardware({ rod, ...rest }: NonNullable<SpecInput['hardware']>): SpecHardware {
  return withoutUndefined({
    ...rest,
    rod: rod?.diameter,
    rodKind: rod?.kind,
    valving: rest.valving === undefined ? undefined : withoutUndefined(rest.valving),
  });
}

function toAdjuster(id: string, input: NonNullable<SpecInput['adjusters']>[string]): Adjuster {
  return withoutUndefined({
    id,
    unit: input.unit ?? 'click',
    clicks: input.clicks,
    positions: input.positions,
    countsFrom: input.countsFrom ?? 'closed',
    acts: input.acts === undefined ? undefined : withoutUndefined(input.acts),
  });
}

function toTestPlan(input: NonNullable<SpecInput['test']>): TestPlan {
  return withoutUndefined({ ...input, velocities: expandVelocities(input.velocities ?? []) ?? [] });
}

function toTolerances(input: NonNullable<SpecInput['tolerance']>): Tolerances {
  const { compression, rebound, pair, clickStep, ...rest } = input;
  const side = (value: typeof compression) =>
    value && { softer: withoutUndefined(value.softer), harder: withoutUndefined(value.harder) };
  return withoutUndefined({
    ...rest,
    compression: side(compression),
    rebound: side(rebound),
    pair: pair && withoutUndefined(pair),
    clickStep: clickStep && withoutUndefined(clickStep),
  });
}

function referenceProblems(file: string, { reference }: SpecInput, tree: YamlTree): FileProblem[] {
  if (reference === undefined) return [];
  const result = repositoryPath(reference, folderOf(file));
  if ('path' in result) return [];
  const position = tree.keyPosition(['reference']);
  return [
    {
      rule: 'path-outside',
      file,
      position,
      column: 'reference',
      value: reference.slice(0, 80),
      message: result.problem,
      remedy: result.remedy,
    },
  ];
}

function planProblems(file: string, { test }: SpecInput, tree: YamlTree): FileProblem[] {
  if (test?.velocities === undefined || expandVelocities(test.velocities) !== undefined) return [];
  const position = tree.keyPosition(['test', 'velocities']);
  const message = 'The velocities make no plan of 1 to 1000 speeds.';
  const remedy = "Let every range rise from 'from' to 'to' in steps that fit between them.";
  return [{ rule: 'spec-invalid', file, position, column: 'test.velocities', message, remedy }];
}
