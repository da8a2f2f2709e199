import type { BranchChanges } from '../changes/branchChanges';
import { movedItems, type MovedItem } from '../changes/movedItems';
import type { ReferenceMove } from '../review/branch/referenceMove';
import type { JudgedResult } from '../review/judgedResult';
import { machine } from '../text/figures';
import type { BranchDocument, MovedEntry } from './branchSchema';
import { findingEntry, worstEntry } from './json';
import { finite, given, nested } from './presentKeys';

/** What `changes --format json` prints. */
export function branchDocument(changes: BranchChanges): BranchDocument {
  return {
    formatVersion: 1,
    method: changes.method,
    base: { commit: changes.base.commit, words: changes.base.words },
    head: { ...given('commit', changes.head.commit), uncommitted: changes.head.uncommitted },
    verdict: changes.verdict,
    moved: movedItems(changes).map(movedEntry),
    turned: changes.turned.map(({ file, before, after, cause, parts }) => ({
      file,
      before,
      after,
      cause,
      parts: [...parts],
    })),
    findings: changes.findings.map(findingEntry),
    ...(changes.notes.length > 0 && { notes: [...changes.notes] }),
  };
}

function movedEntry({ kind, change, file, line, name, from, keys, reference, result }: MovedItem): MovedEntry {
  return {
    kind,
    change,
    file,
    ...given('line', line),
    ...given('name', name),
    ...given('from', from),
    ...(keys !== undefined && { keys: keys.map((one) => ({ ...one })) }),
    ...(reference !== undefined && referenceEntry(reference)),
    ...given('before', result?.before && stateEntry(result.before)),
    ...given('after', result?.after && stateEntry(result.after)),
  };
}

function referenceEntry({ moved, removed, added, basis }: ReferenceMove): Partial<MovedEntry> {
  const rows = (list: ReferenceMove['removed']) =>
    list.map((row) => ({ setting: nested(row.setting), velocity_mm_s: machine.speed(row.velocity) }));
  const points = moved.flatMap((point) =>
    Number.isFinite(point.before) && Number.isFinite(point.after)
      ? [
          {
            setting: nested(point.setting),
            side: point.side,
            velocity_mm_s: machine.speed(point.velocity),
            before_N: machine.force(point.before),
            after_N: machine.force(point.after),
            ...finite('percent_of_tolerance', point.share, machine.percent),
            direction: point.direction,
          },
        ]
      : [],
  );
  return {
    ...(points.length > 0 && { points }),
    ...(removed.length > 0 && { rowsRemoved: rows(removed) }),
    ...(added.length > 0 && { rowsAdded: rows(added) }),
    ...(basis.length > 0 && { basis: [...basis] }),
  };
}

function stateEntry(result: JudgedResult): NonNullable<MovedEntry['before']> {
  return {
    verdict: result.verdict,
    ...given('worst', worstEntry(result)),
    serial: result.serial,
    build: result.build,
  };
}
