import type { z } from 'zod';
import type { ForceTable, ResultOrigin, TestBasis } from './forceTable';
import type { PreambleEntry } from './preamble';
import type { FileProblem, SourcePosition } from './problem';
import { referencePreamble, resultPreamble } from './schema/preambleSchema';
import { validate } from './schema/validate';
import type { YamlTree } from './schema/yamlTree';
import { withoutUndefined } from './withoutUndefined';

/** What the preamble of a table says, in the shape of the table. */
export type TableHead = Pick<ForceTable, 'formatVersion' | 'spec' | 'basis' | 'gas' | 'adopted' | 'result'>;

/** Checks the preamble of reference curves or of a result. */
export function readTablePreamble(
  file: string,
  kind: ForceTable['kind'],
  entries: ReadonlyMap<string, PreambleEntry>,
): { head?: TableHead; problems: FileProblem[] } {
  const tree = treeOf(entries);
  if (kind === 'reference') {
    const { value, problems } = validate(referencePreamble(), tree, file, 'file-invalid');
    return value === undefined ? { problems } : { head: referenceHead(value), problems };
  }
  const { value, problems } = validate(resultPreamble(), tree, file, 'file-invalid');
  return value === undefined ? { problems } : { head: resultHead(value), problems };
}

/** A preamble as its schema makes it. */
export type ReferenceValues = z.output<ReturnType<typeof referencePreamble>>;
export type ResultValues = z.output<ReturnType<typeof resultPreamble>>;

export function referenceHead(value: ReferenceValues): TableHead {
  return commonHead(value, { adopted: value.adopted && withoutUndefined(value.adopted) });
}

export function resultHead(value: ResultValues): TableHead {
  return commonHead(value, { result: originOf(value) });
}

type CommonValue = Pick<ReferenceValues, 'formatVersion' | 'spec' | 'gas' | keyof TestBasis>;

function commonHead(
  value: CommonValue,
  more: { adopted?: ForceTable['adopted'] | undefined; result?: ResultOrigin },
): TableHead {
  const { formatVersion, spec, gas, drive, stroke, midPosition, forceZero, temperatureAt } = value;
  return withoutUndefined({
    formatVersion,
    spec,
    basis: withoutUndefined({ drive, stroke, midPosition, forceZero, temperatureAt }),
    gas: gas && withoutUndefined({ ...gas, source: gas.source ?? ('stated' as const) }),
    ...more,
  });
}

function originOf(value: ResultValues): ResultOrigin {
  const { serial, build, date, bench, run, sameMounting, retest, method, source, inputs, reference, benchIncluded } =
    value;
  return withoutUndefined({
    serial,
    build,
    date,
    bench,
    run,
    sameMounting,
    retest: retest && withoutUndefined(retest),
    method,
    source: source ?? [],
    inputs: withoutUndefined(inputs ?? {}),
    reference,
    benchIncluded,
  });
}

/** The preamble's lines as one document, each key at its place. */
function treeOf(entries: ReadonlyMap<string, PreambleEntry>): YamlTree {
  const value = Object.create(null) as Record<string, unknown>;
  for (const [key, entry] of entries) value[key] = entry.value;
  const find = (path: readonly PropertyKey[]): SourcePosition => {
    const [key, ...rest] = path;
    const entry = typeof key === 'string' ? entries.get(key) : undefined;
    if (entry === undefined) return { line: 1, column: 1 };
    return rest.length === 0 ? entry.position : (entry.positionOf?.(rest) ?? entry.position);
  };
  return { value, keyPosition: find, valuePosition: find };
}
