import type { ReducedLog } from '../analysis/reducedLog';
import type { TestLogHead } from '../files/testLog';

export interface RunAdjuster {
  readonly id: string;
  readonly unit: string;
}

/**
 * The adjusters that the logs of a run state, by column or by preamble: in the spec's order, then those that the spec does not
 * have, by name. An adjuster that no log states is left out; `setting-unknown` names it.
 */
export function adjustersOfRun(
  heads: readonly TestLogHead[],
  spec: { readonly adjusters: readonly RunAdjuster[] } | undefined,
): readonly RunAdjuster[] {
  const stated = new Map<string, string>();
  for (const head of heads) {
    for (const id of Object.keys(head.setting)) if (!stated.has(id)) stated.set(id, 'click');
    for (const column of head.columns) if (column.role === 'adjuster') stated.set(column.name, column.unit);
  }
  const ofSpec = (spec?.adjusters ?? []).filter((a) => stated.has(a.id)).map(({ id, unit }) => ({ id, unit }));
  const known = new Set(ofSpec.map((a) => a.id));
  const others = [...stated].filter(([id]) => !known.has(id)).map(([id, unit]) => ({ id, unit }));
  return [...ofSpec, ...others.sort((a, b) => (a.id < b.id ? -1 : 1))];
}

/** Full settings of a log's steps in the order of `adjusters`: adjuster columns first, else the preamble; NaN where neither says. */
export function settingsOfSteps(
  head: TestLogHead,
  log: ReducedLog,
  adjusters: readonly RunAdjuster[],
): readonly (readonly number[])[] {
  const columns = head.columns.filter((c) => c.role === 'adjuster').map((c) => c.name);
  return log.steps.map((step) =>
    adjusters.map(({ id }) => {
      const column = columns.indexOf(id);
      if (column >= 0) return step.setting[column] ?? NaN;
      return Object.hasOwn(head.setting, id) ? head.setting[id]! : NaN;
    }),
  );
}

/** The log with every step's setting written out in the order of `adjusters`, so that logs with other columns can be analysed as one run. */
export function withFullSettings(head: TestLogHead, log: ReducedLog, adjusters: readonly RunAdjuster[]): ReducedLog {
  const settings = settingsOfSteps(head, log, adjusters);
  return { ...log, steps: log.steps.map((step, i) => ({ ...step, setting: settings[i]! })) };
}
