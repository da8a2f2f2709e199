/** The members of the platform's AbortSignal that the core uses, so that the core needs neither Node nor DOM types. */
export interface AbortSignalLike {
  readonly aborted: boolean;
  addEventListener(type: 'abort', listener: () => void): void;
  removeEventListener(type: 'abort', listener: () => void): void;
}

/** Thrown where a run was given up because a newer one replaced it, or the user stopped it. */
export class AbortedError extends Error {
  override readonly name = 'AbortedError';
  constructor() {
    super('The run was cancelled.');
  }
}

export function throwIfAborted(signal: AbortSignalLike | undefined): void {
  if (signal?.aborted === true) throw new AbortedError();
}
