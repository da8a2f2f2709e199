import type { Finding } from './finding';

/** What a finding says beyond its message. */
export type FindingDetails = Pick<Finding, 'evidence' | 'related'>;

const DETAILS = Symbol('details');

interface Holder {
  readonly [DETAILS]: () => FindingDetails;
}

/**
 * Gives a finding its details, made when they are first asked for; in a copy of the finding they are made. A terminal shows none of them, and
 * those of a thousand undecided bands were a fiftieth of a check.
 *
 * @param make must hold on to nothing that is large
 */
export function withDetails(finding: Omit<Finding, keyof FindingDetails>, make: () => FindingDetails): Finding {
  let made: FindingDetails | undefined;
  Object.defineProperty(finding, DETAILS, { value: () => (made ??= make()) });
  return Object.defineProperties(finding, MADE_WHEN_ASKED) as Finding;
}

/** One pair of getters for all findings: getters of each one's own take three times as long to set up. */
const MADE_WHEN_ASKED: PropertyDescriptorMap & ThisType<Holder> = {
  evidence: {
    enumerable: true,
    configurable: true,
    get() {
      return this[DETAILS]().evidence;
    },
  },
  related: {
    enumerable: true,
    configurable: true,
    get() {
      const { related } = this[DETAILS]();
      return related === undefined || related.length === 0 ? undefined : related;
    },
  },
};
