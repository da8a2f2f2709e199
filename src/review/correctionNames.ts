import type { Cause } from '../analysis/corrections/driftModel';
import type { Adjuster } from '../files/spec';

/** What temperature cannot be told from. */
export const OIL = 'oil or scale of both sides';

/** A cause as tables and the JSON document name it. */
export function causeName(cause: Cause, adjusters: readonly Adjuster[]): string {
  if (cause.kind === 'scale') return `side scale ${cause.side}`;
  if (cause.kind === 'needle') return `needle ${adjusters[cause.adjuster]!.id}`;
  return cause.kind;
}
