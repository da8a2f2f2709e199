import type * as z from 'zod';

/** What an issue of ours says beside its message. */
export interface IssueParams {
  readonly rule?: string;
  readonly remedy: string;
}

/** Adds a fault of ours to what the validator finds. @param path of the part at fault, below the value that is checked */
export function addFault(
  context: z.RefinementCtx,
  message: string,
  params: IssueParams,
  path: PropertyKey[] = [],
): void {
  context.addIssue({ code: 'custom', message, path, params: { ...params } });
}
