import type { JudgedPoint } from './judgedResult';

const OTHER_BASIS: ReadonlySet<JudgedPoint['cause']> = new Set(['basis', 'constant force', 'setting']);

/** Whether a point does not share its basis with the reference, so that the reference's shape is not held against it. */
export function hasOtherBasis({ cause }: { readonly cause?: JudgedPoint['cause'] | undefined }): boolean {
  return OTHER_BASIS.has(cause);
}
