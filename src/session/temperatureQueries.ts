import { temperatureCoefficient } from '../analysis/temperature/temperatureCoefficient';
import type { ReducedLog } from '../analysis/reducedLog';
import type { Normalisation } from '../review/normalisation';
import { deepEqual } from './deepEqual';
import type { FileQueries } from './fileQueries';
import type { LogQueries } from './logQueries';
import type { IdentityQueries } from './identityQueries';
import { defineQuery, IN_JSON } from './query';

/** Queries for what heat does to the dampers of a spec. */
export class TemperatureQueries {
  readonly #files: FileQueries;
  readonly #logs: LogQueries;
  readonly #identities: IdentityQueries;

  constructor(files: FileQueries, logs: LogQueries, identities: IdentityQueries) {
    this.#files = files;
    this.#logs = logs;
    this.#identities = identities;
  }

  /** Endurance logs of a spec, by path. @param specPath path of the spec */
  readonly enduranceLogs = defineQuery<readonly string[]>(
    'endurance logs',
    (specPath, read) => {
      const found: string[] = [];
      for (const path of read.get(this.#files.ofKind, 'testLog')) {
        const stated = read.get(this.#identities.ofLog, path);
        if (stated?.kind !== 'endurance' || stated.spec === undefined) continue;
        const spec = read.get(this.#files.specOfId, stated.spec);
        if (spec.kind === 'one' && spec.path === specPath) found.push(path);
      }
      return found;
    },
    { same: deepEqual, ...IN_JSON },
  );

  readonly normalisation = defineQuery<Normalisation>(
    'normalisation',
    (specPath, read) => {
      const paths = read.get(this.enduranceLogs, specPath);
      if (paths.length === 0)
        return { kind: 'unknown', reason: 'no endurance log of this spec is there to take the loss with heat from' };
      const logs: ReducedLog[] = [];
      const from: string[] = [];
      for (const path of paths) {
        const report = this.#logs.report(path, read);
        if (report.kind !== 'read') continue;
        logs.push(report.record.reduced);
        from.push(path);
      }
      const coefficient = temperatureCoefficient(logs);
      return coefficient === undefined
        ? { kind: 'unknown', reason: 'no endurance log of this spec warms by 5 K with its temperature logged' }
        : { kind: 'known', coefficient, from };
    },
    { same: deepEqual },
  );
}
