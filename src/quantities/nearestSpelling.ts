/**
 * The candidate that a misspelt text most likely meant, or undefined where none is close enough to be worth naming.
 * Letter case counts little; a swap of two neighbouring letters counts as one slip. Ties go to the earlier candidate.
 */
export function nearestSpelling(text: string, candidates: readonly string[]): string | undefined {
  if (text.length === 0 || text.length > LONGEST) return undefined;
  let best: string | undefined;
  let bestSlips = Infinity;
  for (const candidate of candidates) {
    const slips = slipsBetween(text, candidate);
    if (slips < bestSlips && slips <= allowedSlips(text, candidate)) {
      best = candidate;
      bestSlips = slips;
    }
  }
  return best;
}

/** Longer texts are no slips of the pen, and comparing them would cost time that a hostile file could ask for. */
const LONGEST = 60;
const CASE_SLIP = 0.3;

function allowedSlips(text: string, candidate: string): number {
  return Math.max(1, Math.floor(Math.max(text.length, candidate.length) * 0.4));
}

/** Edits (insert, drop, replace, swap neighbours) that turn one text into the other; a change of case alone counts 0.3. */
function slipsBetween(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      let least = Math.min(last[j]! + 1, row[j - 1]! + 1, last[j - 1]! + replaceCost(a[i - 1]!, b[j - 1]!));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        least = Math.min(least, beforeLast[j - 2]! + 1);
      row.push(least);
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length]!;
}

function replaceCost(a: string, b: string): number {
  if (a === b) return 0;
  return a.toLowerCase() === b.toLowerCase() ? CASE_SLIP : 1;
}
