import type { ForceTable } from '../files/forceTable';
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
    async (path, read) => {
      const table = await read.get(this.#files.tableMeaning, path);
      return table === undefined ? null : { ...statedByTable(table), sources: table.result?.source ?? [] };
    },
    { same: deepEqual, kept: true },
  );

  /** Null for a log whose head cannot be read. */
  readonly ofLog = defineQuery<StatedByLog | null>(
    'identity of log',
    async (path, read) => {
      const report = await read.get(this.#logs.head, path);
      return report.kind === 'read' ? { ...statedByLog(report.head), kind: report.head.kind } : null;
    },
    { same: deepEqual, kept: true },
  );
}

function statedByTable({ spec, result, rows, adjusters }: ForceTable): Stated {
  const vectors = new Set(rows.map((row) => row.setting.join(' ')));
  const [first] = rows;
  const setting =
    first !== undefined && vectors.size === 1
      ? settingText(Object.fromEntries(adjusters.map(({ id }, i) => [id, first.setting[i] ?? NaN])))
      : 'several';
  return { ...statedParts({ ...result, spec }), setting };
}

function statedByLog(head: PlainHead): Stated {
  const isSingle = head.kind === 'staircase' && head.columns.every((column) => column.role !== 'adjuster');
  return { ...statedParts(head), setting: isSingle ? settingText(head.setting) : 'several' };
}

function statedParts(stated: Omit<Stated, 'setting'>): Omit<Stated, 'setting'> {
  const { spec, serial, build, date, run, bench, sameMounting, retest } = stated;
  return {
    ...(spec !== undefined && { spec }),
    ...(serial !== undefined && { serial }),
    ...(build !== undefined && { build }),
    ...(date !== undefined && { date }),
    ...(run !== undefined && { run }),
    ...(bench !== undefined && { bench }),
    ...(sameMounting !== undefined && { sameMounting }),
    ...(retest !== undefined && { retest }),
  };
}

function settingText(setting: Setting): string {
  return JSON.stringify(Object.entries(setting).sort(([a], [b]) => byText(a, b)));
}
