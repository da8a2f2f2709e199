import type { AbortSignalLike } from '../ports/abort';
import type { InputLooks } from './keptLooks';
import type { RowsAtHand } from './rowsAtHand';

/** What a computation reads through; every read becomes a dependency of what is being computed. */
export interface Reading {
  readonly signal: AbortSignalLike | undefined;
  /**
   * A value, at once. Where something that it rests on has to be waited for, such as a log that is reduced elsewhere, the computation ends here
   * and begins anew when that is there: nearly nothing is waited for, and a promise for each of tens of thousands of values took as long as
   * the values. @throws Pause, which must be let through
   */
  get<Value>(query: Query<Value>, key: string): Value;
  /** Values of many keys, where some may have to be waited for: the computation begins anew less often. Not for large ones. @throws Pause */
  all<Value>(query: Query<Value>, keys: readonly string[]): readonly Value[];
  /** The value rests on something that may heal by itself (a file that could not be read): it is computed again in the next run. */
  notFinal(): void;
}

/** What a run reads through. */
export interface Reader {
  readonly signal: AbortSignalLike | undefined;
  get<Value>(query: Query<Value>, key: string): Promise<Value>;
  /** A value that is there, or was kept; undefined for any other. */
  ready<Value>(query: Query<Value>, key: string): Value | undefined;
  /** A computation that nobody remembers, begun anew as that of a query is. */
  once<Value>(compute: (read: Reading) => Value): Promise<Value>;
  /** The rows that an earlier process kept. */
  rows(): RowsAtHand;
  /** Which of these rows each key has, as long as it holds: `NONE` for all others, and whenever this is not the first run. */
  findRows(query: Query<unknown>, keys: readonly string[]): Int32Array;
}

/** Thrown through computations that something has to be waited for. */
export class Pause extends Error {
  override readonly name = 'Pause';
  /** @param over when it is worth beginning anew; it never rejects */
  constructor(readonly over: Promise<unknown>) {
    super('A value is waited for.');
  }
}

/** A kind of value that is computed from a key and other queries, and remembered. */
export interface Query<Value> {
  readonly name: string;
  /** May be begun several times, so it has no effect but its value. A promise is waited for. */
  compute(key: string, read: Reading): Value | Promise<Value>;
  /** Early cutoff: where a new value is the same as the old one, the old one stays and nothing that read it is computed again. */
  same(old: Value, now: Value): boolean;
  /**
   * For values too large to keep them all: bytes of one, and a short text that is equal for equal values and stands for it in
   * the comparison. Such a value may be dropped at any time and is computed again when it is read.
   */
  readonly large?: { bytes(value: Value): number; fingerprint(value: Value): string };
  /**
   * For values that many others read: such a value is brought up to date before a run's own work, and what reads it is marked only where
   * it has really changed. Without that, one edit would mark the whole repository.
   */
  readonly gate: boolean;
  /** Whether the engine remembers which keys were marked, for {@link QueryEngine.takeMarked}. */
  readonly watched: boolean;
  /**
   * A text that is equal for equal values, in this process and in any later one: it is kept of what kept values rest on, to tell whether
   * they still do. Undefined where no text can vouch for the value; then nothing that rests on it is kept, unless it is a fresh input.
   */
  anchor?(value: Value): string | undefined;
  /** The value from its text, for what is costly to compute again only because much is looked through for it. */
  restore?(text: string): Value;
  /** For what is taken from the outside: it reads nothing. */
  input?(key: string): Value;
  /**
   * Of an input without a text, whether that comes with time alone. What is kept may rest on such a one: a later process finds it changed, and
   * looks at what rests on it.
   */
  isFresh?(value: Value): boolean;
  /** For inputs that thousands rest on, beside their texts. */
  readonly looks?: InputLooks;
  /** For what is looked up in the value of another query, under no key. */
  readonly lookup?: { readonly index: Query<unknown>; pick(index: unknown, key: string): Value };
  /**
   * Whether its values are too heavy to stay once what reads them is kept: in a process of one run they are dropped then. Judged results are
   * most of what a large review holds, and moving them about was a fifth of its time.
   */
  readonly isHeavy: boolean;
  /** Whether the key alone tells the value, so that nothing makes it another. */
  readonly isPure: boolean;
  /** Whether its values, plain JSON all of them, are kept for a later process as long as what they rest on stays as it is. */
  readonly kept: boolean;
  /** Whether they are kept as rows (`KeptRow`), and looked at as such ({@link Reader.findRows}): of a kept query whose values are told by thousands. */
  readonly inRows: boolean;
}

export type QueryOptions<Value> = Partial<
  Pick<
    Query<Value>,
    | 'same'
    | 'large'
    | 'gate'
    | 'watched'
    | 'anchor'
    | 'restore'
    | 'isFresh'
    | 'looks'
    | 'kept'
    | 'inRows'
    | 'isHeavy'
    | 'isPure'
  >
>;

export function defineQuery<Value>(
  name: string,
  compute: Query<Value>['compute'],
  options: QueryOptions<NoInfer<Value>> = {},
): Query<Value> {
  return {
    name,
    compute,
    same: isSame,
    gate: false,
    watched: false,
    kept: false,
    inRows: false,
    isHeavy: false,
    isPure: false,
    ...options,
  };
}

/** A query that takes its values from the outside. */
export function defineInput<Value>(
  name: string,
  input: (key: string) => Value,
  options: QueryOptions<NoInfer<Value>> = {},
): Query<Value> {
  return { ...defineQuery<Value>(name, input, options), input };
}

/** A query whose values stand in the one value of another query: tens of thousands of them cost a look each. */
export function defineLookup<Index, Value>(
  name: string,
  index: Query<Index>,
  pick: (index: Index, key: string) => Value,
  options: QueryOptions<NoInfer<Value>> = {},
): Query<Value> {
  const query = defineQuery(name, (key, read) => pick(read.get(index, ''), key), options);
  return { ...query, lookup: { index, pick: (value, key) => pick(value as Index, key) } };
}

function isSame(old: unknown, now: unknown): boolean {
  return Object.is(old, now);
}

function textOfJson(value: unknown): string {
  return value === undefined ? '' : JSON.stringify(value);
}

// eslint-disable-next-line @typescript-eslint/no-explicit-any -- what JSON holds is what the query put there
function jsonOfText(text: string): any {
  return text === '' ? undefined : JSON.parse(text);
}

/** For values that are plain JSON, or undefined. */
export const IN_JSON = { anchor: textOfJson, restore: jsonOfText };

/** Says that what a query reads from the outside for this key may have changed. */
export type Touch = <Value>(query: Query<Value>, key: string) => void;
