import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import { deepEqual } from './deepEqual';
import type { FileQueries } from './fileQueries';
import { byText } from './logGroups';
import type { LogQueries } from './logQueries';
import { defineQuery } from './query';
import type { PlainHead } from './reduceLogJob';

/** What a result or a log says of itself; absent where it says nothing. Plain JSON: it is kept, so that an index needs no file to be read. */
export interface Stated {
  /** As it is written, which may be a former id. */
  readonly spec?: string;
  readonly serial?: string;
  readonly build?: string;
  readonly date?: string;
  readonly run?: number;
  readonly bench?: string;
  readonly sameMounting?: boolean;
  readonly retest?: { readonly of?: string; readonly reason?: string };
  /** The one setting of it, as text; 'several' for a sweep. */
  readonly setting: string;
}

export interface StatedByTable extends Stated {
  /** Logs that it names as its source, in its order. */
  readonly sources: readonly { readonly path: string; readonly sha256: string }[];
}

export interface StatedByLog extends Stated {
  readonly kind: PlainHead['kind'];
}

/** Queries for what a result or a log is of. Its numbers do not matter to them. */
export class IdentityQueries {
  readonly #files: FileQueries;
  readonly #logs: LogQueries;

  constructor(files: FileQueries, logs: LogQueries) {
    this.#files = files;
    this.#logs = logs;
  }

  /** Null for a table that cannot be read. */
  readonly ofTable = defineQuery<StatedByTable | null>(
    'identity of table',
    (path, read) => {
      const table = read.get(this.#files.tableMeaning, path);
      return table === undefined ? null : statedByTable(table);
    },
    { same: deepEqual, kept: true },
  );

  /** Null for a log whose head cannot be read. */
  readonly ofLog = defineQuery<StatedByLog | null>(
    'identity of log',
    (path, read) => {
      const report = read.get(this.#logs.head, path);
      return report.kind === 'read' ? { ...statedByLog(report.head), kind: report.head.kind } : null;
    },
    { same: deepEqual, kept: true },
  );
}

function statedByTable({ spec, result, rows, adjusters }: ForceTable): StatedByTable {
  const setting = hasOneSetting(rows) ? settingOfRow(rows[0]!, adjusters) : 'several';
  return { ...statedParts(result ?? {}), spec, setting, sources: result?.source ?? [] };
}

/** From the end: the last row of a sweep is rarely at the setting of the first. */
function hasOneSetting(rows: ForceTable['rows']): boolean {
  const [first] = rows;
  if (first === undefined) return false;
  for (let i = rows.length - 1; i > 0; i--) {
    const { setting } = rows[i]!;
    if (setting !== first.setting && !isSame(setting, first.setting)) return false;
  }
  return true;
}

/** As texts, in which 0 and -0 are the same. */
function isSame(a: readonly number[], b: readonly number[]): boolean {
  return a.every((position, i) => position === b[i]);
}

function settingOfRow({ setting }: ForceRow, adjusters: ForceTable['adjusters']): string {
  return settingText(Object.fromEntries(adjusters.map(({ id }, i) => [id, setting[i] ?? NaN])));
}

function statedByLog(head: PlainHead): Stated {
  const isSingle = head.kind === 'staircase' && head.columns.every((column) => column.role !== 'adjuster');
  return { ...statedParts(head), setting: isSingle ? settingText(head.setting) : 'several' };
}

const STATED_KEYS = ['spec', 'serial', 'build', 'date', 'run', 'bench', 'sameMounting', 'retest'] as const;

function statedParts(stated: Omit<Stated, 'setting'>): Omit<Stated, 'setting'> {
  // Key by key, as thousands of results pass here: a part spread for each key took as long as all else together.
  const parts: Record<string, unknown> = {};
  for (const key of STATED_KEYS) if (stated[key] !== undefined) parts[key] = stated[key];
  return parts;
}

function settingText(setting: Setting): string {
  return JSON.stringify(Object.entries(setting).sort(([a], [b]) => byText(a, b)));
}
