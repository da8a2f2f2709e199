import { execFileSync } from 'node:child_process';

/** One fixed seed, and one that changes with the commit, so that every commit tries new cases and each can be run again. */
export function seedsOfRun(fixed: number): number[] {
  return [fixed, commitSeed()];
}

function commitSeed(): number {
  const wanted = process.env['DAMPER_SEED'];
  if (wanted !== undefined) return Number(wanted);
  try {
    const head = execFileSync('git', ['rev-parse', 'HEAD'], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });
    return Number.parseInt(head.slice(0, 7), 16);
  } catch {
    return 1; // not a clone
  }
}
