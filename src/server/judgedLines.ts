import type { Lines } from './lines';

/** Where a line of a text stood before the text was edited, 0-based; undefined for a line that may be another one now. */
export type LineBefore = (line: number) => number | undefined;

/** Lines above the first that differs and below the last one are the same; what is between may be anything. */
export function linesBefore(before: Lines, now: Lines): LineBefore {
  const shorter = Math.min(before.length, now.length);
  let above = 0;
  while (above < shorter && before[above] === now[above]) above += 1;
  let below = 0;
  while (below < shorter - above && before.at(-1 - below) === now.at(-1 - below)) below += 1;
  return (line) => {
    if (line < above) return line;
    return line >= now.length - below ? line + before.length - now.length : undefined;
  };
}
