import type { z } from 'zod';
import type { PreambleEntry } from '../preamble';
import type { FileProblem, SourcePosition } from '../problem';
import { quotedValue } from '../problemText';
import type { LogMapping } from '../reviewConfig';
import { validate } from '../schema/validate';
import type { YamlTree } from '../schema/yamlTree';
import type { TestLogHead } from '../testLog';
import { withoutUndefined } from '../withoutUndefined';
import { testLogPreamble } from '../schema/testLogPreamble';
import type { Signs } from './logColumns';
import { readPathPattern } from './pathPattern';

/** The head without what the header row tells. */
export type PreambleHead = Omit<TestLogHead, 'file' | 'columns' | 'headerLine' | 'positionOf'>;

/** What the preamble, the mapping and the path say. */
export interface ReadHead {
  readonly head: PreambleHead;
  /** Channels that count up in rebound. */
  readonly signs: Signs;
  readonly entries: ReadonlyMap<string, PreambleEntry>;
  /** What keeps the log from being read. */
  readonly faults: readonly FileProblem[];
  /** What is wrong and yet leaves the log readable. */
  readonly warnings: readonly FileProblem[];
}

/**
 * Puts together what a log says of itself. The log's own preamble goes before its path, its path before the mapping.
 *
 * @param own entries of the log's preamble
 * @param header place of the header row, where values from elsewhere are reported
 */
export function readHead(
  file: string,
  own: ReadonlyMap<string, PreambleEntry>,
  mapping: LogMapping | undefined,
  header: SourcePosition,
): ReadHead {
  const warnings: FileProblem[] = [];
  const entries = new Map<string, PreambleEntry>();
  for (const [key, value] of Object.entries(mapping?.preamble ?? {})) addKnown(entries, key, value, header);
  if (mapping?.fromPath !== undefined) {
    const fromPath = readPathPattern(mapping.fromPath, file);
    if (fromPath === undefined) warnings.push(unfitPath(file, mapping, header));
    for (const [key, value] of fromPath ?? []) addKnown(entries, key, value, header);
  }
  // A foreign bench may write comments of its own: of a log whose columns are mapped only the known keys count.
  const foreign = mapping?.columns !== undefined;
  for (const [key, entry] of own) {
    if (!foreign || isKnown(key)) entries.set(key, merged(entries.get(key), key, entry));
  }
  if (entries.size === 0) return { head: headOf({}), signs: {}, entries, faults: [], warnings };
  const { value, problems } = validate(testLogPreamble(), treeOf(entries, header), file, 'file-invalid');
  return {
    head: headOf(value ?? {}),
    signs: withoutUndefined(value?.positive ?? {}),
    entries,
    faults: problems,
    warnings,
  };
}

function headOf(value: z.output<ReturnType<typeof testLogPreamble>>): PreambleHead {
  const { spec, serial, build, date, bench, kind, run, sameMounting, retest, order, setting } = value;
  const { drive, stroke, midPosition, forceZero, temperatureAt } = value;
  return withoutUndefined({
    spec,
    serial,
    build,
    date,
    bench,
    kind: kind ?? 'staircase',
    run,
    sameMounting,
    retest: retest && withoutUndefined(retest),
    order,
    basis: withoutUndefined({ drive, stroke, midPosition, forceZero, temperatureAt }),
    setting: setting ?? {},
  });
}

function isKnown(key: string): boolean {
  return Object.hasOwn(testLogPreamble().shape, key);
}

/** Adds a value from the mapping or the path; `setting.R` is the part R of `setting`. */
function addKnown(entries: Map<string, PreambleEntry>, key: string, value: unknown, position: SourcePosition): void {
  const dot = key.indexOf('.');
  const outer = dot < 0 ? key : key.slice(0, dot);
  if (!isKnown(outer)) return;
  const entry = { value: dot < 0 ? value : { [key.slice(dot + 1)]: value }, position };
  entries.set(outer, merged(entries.get(outer), outer, entry));
}

/** The later entry; of `setting` both, adjuster by adjuster. */
function merged(before: PreambleEntry | undefined, key: string, entry: PreambleEntry): PreambleEntry {
  if (key !== 'setting' || !isMap(before?.value) || !isMap(entry.value)) return entry;
  return { ...entry, value: { ...before.value, ...entry.value } };
}

function isMap(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function treeOf(entries: ReadonlyMap<string, PreambleEntry>, header: SourcePosition): YamlTree {
  const find = ([key, ...rest]: readonly PropertyKey[]): SourcePosition => {
    const entry = typeof key === 'string' ? entries.get(key) : undefined;
    if (entry === undefined) return header;
    return rest.length === 0 ? entry.position : (entry.positionOf?.(rest) ?? entry.position);
  };
  const value = Object.fromEntries([...entries].map(([key, entry]) => [key, entry.value]));
  return { value, keyPosition: find, valuePosition: find };
}

function unfitPath(file: string, mapping: LogMapping, position: SourcePosition): FileProblem {
  return {
    rule: 'file-invalid',
    file,
    position,
    value: quotedValue(mapping.fromPath ?? ''),
    message: `The path of the log does not fit 'fromPath' in ${mapping.keyPath} of ${mapping.file}.`,
    remedy: 'Move the log, or correct the pattern: a name in braces stands for one part of a folder or file name.',
  };
}
