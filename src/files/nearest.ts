import { nearestSpelling } from '../quantities/nearestSpelling';

/** The known key that a misspelt one most likely meant. */
export function nearestKey(key: string, known: readonly string[]): string | undefined {
  return nearestSpelling(key, known);
}

/** What to do about an unknown key, naming the nearest known one and, where they are few, all of them. */
export function unknownKeyRemedy(key: string, known: readonly string[]): string {
  const near = nearestKey(key, known);
  const list = known.length === 0 ? '' : ` Known here: ${[...known].sort().join(', ')}.`;
  return near === undefined
    ? `Remove it, or spell it as this page of the format does.${list}`
    : `Did you mean '${near}'?${list}`;
}
