import type { StatedByLog } from './identityQueries';
import type { PlainHead } from './reduceLogJob';

/** Logs that are analysed together and give one result. */
export interface LogGroup {
  /** Path of the first log by name: the result is written beside it. */
  readonly first: string;
  /** Logs that give points, in the order they were recorded. */
  readonly logs: readonly string[];
  /** Static logs of the same unit, which give gas and friction. */
  readonly statics: readonly string[];
}

export interface LogGroups {
  readonly groups: readonly LogGroup[];
  /** Endurance and replay logs, and static logs without a run: looked at, not judged by a curve. */
  readonly alone: readonly string[];
}

/** What grouping looks at. */
export interface LogIdentity {
  readonly path: string;
  readonly kind: PlainHead['kind'];
  readonly spec: string;
  readonly serial: string;
  readonly build: string;
  readonly date: string;
  readonly run: number;
  readonly retest: string;
}

/** @param specId the present id of the log's spec, which may be stated by a former one */
export function identityOf(path: string, stated: StatedByLog, specId: string): LogIdentity {
  const { kind, serial = '', build = '', date = '', run = 1, retest } = stated;
  return {
    path,
    kind,
    spec: specId,
    serial,
    build,
    date,
    run,
    retest: retest === undefined ? '' : `${retest.of ?? ''}\n${retest.reason ?? ''}`,
  };
}

/**
 * A staircase is a run of its own. Sweeps of one spec, serial, build, run and retest are one run. Static logs go to every run of their
 * spec, serial and build. A log that does not say which damper it is of stands alone.
 */
export function groupLogs(logs: readonly LogIdentity[]): LogGroups {
  const measured = new Map<string, LogIdentity[]>();
  const statics = new Map<string, LogIdentity[]>();
  const alone: string[] = [];
  for (const log of logs) {
    if (log.kind === 'staircase') add(measured, log.path, log);
    else if (log.kind === 'sweep')
      add(measured, isNamed(log) ? `\n${unitKey(log)}\n${log.run}\n${log.retest}` : log.path, log);
    else if (log.kind === 'static' && isNamed(log)) add(statics, unitKey(log), log);
    else alone.push(log.path);
  }
  const used = new Set<string>();
  const groups = [...measured.values()].map((members): LogGroup => {
    const [one] = members;
    const ofUnit = one !== undefined && isNamed(one) ? (statics.get(unitKey(one)) ?? []) : [];
    for (const log of ofUnit) used.add(log.path);
    const paths = members.map((log) => log.path).sort(byText);
    return { first: paths[0]!, logs: recorded(members), statics: recorded(ofUnit) };
  });
  for (const unit of statics.values()) for (const log of unit) if (!used.has(log.path)) alone.push(log.path);
  return { groups: groups.sort((a, b) => byText(a.first, b.first)), alone: alone.sort(byText) };
}

function isNamed(log: LogIdentity): boolean {
  return log.serial !== '' && log.build !== '';
}

function unitKey({ spec, serial, build }: LogIdentity): string {
  return JSON.stringify([spec, serial, build]);
}

/** By date where every log has one, else by name. */
function recorded(logs: readonly LogIdentity[]): string[] {
  const dated = logs.every((log) => log.date !== '');
  return [...logs]
    .sort((a, b) => (dated ? byDate(a.date, b.date) : 0) || byText(a.path, b.path))
    .map((log) => log.path);
}

function add(map: Map<string, LogIdentity[]>, key: string, log: LogIdentity): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [log]);
  else list.push(log);
}

/** Earlier first. A day without a time counts as its beginning, a time without a zone as UTC, whatever the machine's zone. */
export function byDate(a: string, b: string): number {
  const difference = instantOf(a) - instantOf(b);
  return Number.isNaN(difference) || difference === 0 ? byText(a, b) : difference;
}

function instantOf(date: string): number {
  return Date.parse(/T.*(?:Z|[+-]\d\d:?\d\d)$/iu.test(date) || !date.includes('T') ? date : `${date}Z`);
}

/** By code unit, so that the order is the same on every machine. */
export function byText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
