import type { ForceTable } from '../forceTable';
import { KEY_LINE } from '../preamble';
import type { Parts } from '../schema/parts';
import { referenceKeys, resultKeys } from '../schema/preambleSchema';
import { referenceHead, resultHead } from '../tablePreamble';
import type { ReferenceValues, ResultValues, TableHead } from '../tablePreamble';
import { holdsControl, keptUpTo } from './understoodTexts';
import { plainFlow } from './plainFlow';

/** A line of a preamble: its key with the value that the schema makes of it, a comment, or neither. */
type PlainLine = { readonly key: string; readonly value: unknown } | 'comment' | 'odd';

const keys: Readonly<Record<ForceTable['kind'], Parts>> = { reference: referenceKeys, result: resultKeys };
/**
 * Most lines are the same in many results: what has one word for its value is kept by its text, and so is what the results of a spec
 * share of digests. Lines with paths are not.
 */
const LONGEST_KEPT = 60;
const SHARED_DIGESTS = '# inputs:';
const keptLines = { reference: keptUpTo<PlainLine>(2000), result: keptUpTo<PlainLine>(2000) };
const MOST_LINES = 100;

/**
 * What a preamble says whose values are plain words, or maps and lists of plain words; undefined where anything else stands in it,
 * and where anything is wrong with it.
 *
 * Every key is checked against its own part of the schema. That is all that the whole schema does: it has no rule over
 * more than one key but that the required ones are there and no others.
 *
 * @param lines each begins with `#`; without line ends
 */
export function readPlainHead(kind: ForceTable['kind'], lines: readonly string[]): TableHead | undefined {
  if (lines.length > MOST_LINES) return undefined;
  const kept = keptLines[kind];
  const make = kind === 'result' ? resultLine : referenceLine;
  const values: Record<string, unknown> = {};
  for (const text of lines) {
    const line = text.length <= LONGEST_KEPT || text.startsWith(SHARED_DIGESTS) ? kept(text, make) : make(text);
    if (line === 'comment') continue;
    if (line === 'odd' || Object.hasOwn(values, line.key)) return undefined;
    values[line.key] = line.value;
  }
  if (!Object.hasOwn(values, 'formatVersion') || !Object.hasOwn(values, 'spec')) return undefined;
  if (kind === 'reference') return referenceHead(values as ReferenceValues);
  const complete = Object.hasOwn(values, 'serial') && Object.hasOwn(values, 'build');
  return complete ? resultHead(values as ResultValues) : undefined;
}

const resultLine = (text: string): PlainLine => readLine(text, 'result');
const referenceLine = (text: string): PlainLine => readLine(text, 'reference');

const PLAIN_START = /^# {0,8}([A-Za-z]+): {1,8}(?=[^ ])/;

function readLine(text: string, kind: ForceTable['kind']): PlainLine {
  const start = PLAIN_START.exec(text);
  if (start === null) return KEY_LINE.test(text) || holdsControl(text) ? 'odd' : 'comment';
  const key = start[1]!;
  const value = plainFlow(text, start[0].length);
  const meaning = value === undefined || !Object.hasOwn(keys[kind], key) ? undefined : keys[kind][key]!.read(value);
  return meaning === undefined ? 'odd' : { key, value: meaning };
}
