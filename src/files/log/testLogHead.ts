import { unknownKeyRemedy } from '../nearest';
import type { TestBasis } from '../forceTable';
import type { FileProblem, SourcePosition } from '../problem';
import { quotedValue } from '../problemText';
import type { LogMapping } from '../reviewConfig';
import type { TestLogHead } from '../testLog';
import { HeadValues, type HeadEntry } from './headValues';
import type { Signs } from './logColumns';
import { readPathPattern } from './pathPattern';

/** Every key that the preamble of a test log may have. */
const HEAD_KEYS = [
  'formatVersion',
  'spec',
  'serial',
  'build',
  'date',
  'bench',
  'setting',
  'forceZero',
  'stroke',
  'midPosition',
  'kind',
  'run',
  'sameMounting',
  'retest',
  'drive',
  'order',
  'temperatureAt',
  'positive',
] as const;

/** The head without what the header row tells. */
export type PreambleHead = Omit<TestLogHead, 'file' | 'columns' | 'headerLine' | 'positionOf'>;

/** What the preamble, the mapping and the path say. */
export interface ReadHead {
  readonly head: PreambleHead;
  /** Channels that count up in rebound. */
  readonly signs: Signs;
  readonly entries: ReadonlyMap<string, HeadEntry>;
  /** Values that cannot be used; with any of them the log cannot be read. */
  readonly faults: readonly FileProblem[];
  /** What is wrong and yet leaves the log readable. */
  readonly warnings: readonly FileProblem[];
}

/**
 * Puts together what a log says of itself. The log's own preamble goes before its path, its path before the mapping.
 *
 * @param own entries of the log's preamble
 * @param headerPosition place of the header row, where values from elsewhere are reported
 */
export function readHead(
  file: string,
  own: ReadonlyMap<string, HeadEntry>,
  mapping: LogMapping | undefined,
  headerPosition: SourcePosition,
): ReadHead {
  const warnings: FileProblem[] = [];
  const entries = new Map<string, HeadEntry>();
  for (const [key, value] of Object.entries(mapping?.preamble ?? {})) addEntry(entries, key, value, headerPosition);
  if (mapping?.fromPath !== undefined) {
    const fromPath = readPathPattern(mapping.fromPath, file);
    if (fromPath === undefined) warnings.push(unfitPath(file, mapping, headerPosition));
    for (const [key, value] of fromPath ?? []) addEntry(entries, key, value, headerPosition);
  }
  // A foreign bench may write comments of its own: of a mapped log only the known keys count.
  const foreign = mapping?.columns !== undefined;
  for (const [key, { value, position }] of own) {
    if (HEAD_KEYS.some((known) => known === key)) addEntry(entries, key, value, position);
    else if (!foreign) warnings.push(unknownKey(file, key, position));
  }
  const values = new HeadValues(file, entries);
  const { head, signs } = readValues(values, entries);
  return { head, signs, entries, faults: values.problems, warnings };
}

/** Adds a value; `setting` is put together adjuster by adjuster, and may be spelled `setting.R`. */
function addEntry(entries: Map<string, HeadEntry>, key: string, value: unknown, position: SourcePosition): void {
  const dot = key.indexOf('.');
  const outer = dot < 0 ? key : key.slice(0, dot);
  const added = dot < 0 ? value : { [key.slice(dot + 1)]: value };
  const before = entries.get(outer)?.value;
  const merged = outer === 'setting' && isMap(before) && isMap(added) ? { ...before, ...added } : added;
  entries.set(outer, { value: merged, position });
}

function isMap(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function readValues(values: HeadValues, entries: ReadonlyMap<string, HeadEntry>): { head: PreambleHead; signs: Signs } {
  const version = values.text('formatVersion');
  if (version !== undefined && version !== '1') {
    const remedy = 'Update this program, or write formatVersion 1.';
    values.refuse('formatVersion', entries.get('formatVersion')!, 'This version of the format is not known.', remedy);
  }
  const head: PreambleHead = {
    ...given('spec', values.text('spec')),
    ...given('serial', values.text('serial')),
    ...given('build', values.text('build')),
    ...given('date', values.date('date')),
    ...given('bench', values.text('bench')),
    kind: values.oneOf('kind', ['staircase', 'sweep', 'endurance', 'static', 'replay']) ?? 'staircase',
    ...given('run', values.count('run')),
    ...given('sameMounting', values.yesOrNo('sameMounting')),
    ...given('retest', values.texts('retest', ['of', 'reason'])),
    ...given('order', values.oneOf('order', ['rising', 'falling'])),
    basis: readBasis(values),
    setting: values.numbers('setting'),
  };
  return {
    head,
    signs: values.words('positive', ['displacement', 'velocity', 'force'], ['compression', 'rebound']),
  };
}

function readBasis(values: HeadValues): TestBasis {
  return {
    ...given('drive', values.oneOf('drive', ['sine', 'triangle', 'other'])),
    ...given('stroke', values.length('stroke')),
    ...given('midPosition', values.length('midPosition')),
    ...given('forceZero', values.oneOf('forceZero', ['unloaded', 'mounted', 'unknown'])),
    ...given('temperatureAt', values.oneOf('temperatureAt', ['body', 'reservoir', 'oil', 'ambient'])),
  };
}

/** An object with the key where there is a value, and none where there is not. */
function given<Key extends string, Value extends string | number | boolean | object>(
  key: Key,
  value: Value | undefined,
): Partial<Record<Key, Value>> {
  return value === undefined ? {} : ({ [key]: value } as Partial<Record<Key, Value>>);
}

function unknownKey(file: string, key: string, position: SourcePosition): FileProblem {
  return {
    rule: 'file-invalid',
    file,
    position,
    column: quotedValue(key),
    value: quotedValue(key),
    message: `'${quotedValue(key)}' is no key of a test log's preamble.`,
    remedy: unknownKeyRemedy(key, HEAD_KEYS),
  };
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
