/** What a measurement says of itself on standard output. */
export interface Outcome {
  readonly milliseconds?: number;
  readonly rows?: number;
  readonly steps?: number;
  readonly bytes?: number;
}

export function tell(outcome: Outcome): void {
  const peakBytes = process.resourceUsage().maxRSS * 1024;
  process.stdout.write(JSON.stringify({ ...outcome, peakBytes }));
}
