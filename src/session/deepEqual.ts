/**
 * Whether two plain values say the same: objects key by key (a key that is undefined counts as absent), arrays and typed
 * arrays item by item, NaN equal to itself. Functions are left out of account: on our values they only look up positions.
 * @param ignoring keys that do not count, such as the line that a row stands on
 */
export function deepEqual(a: unknown, b: unknown, ignoring: ReadonlySet<string> = NONE): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a === 'function' && typeof b === 'function') return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false;
  if (Object.getPrototypeOf(a) !== Object.getPrototypeOf(b)) return false;
  if (a instanceof Float64Array && b instanceof Float64Array)
    return a.length === b.length && a.every((item, i) => Object.is(item, b[i]));
  if (Array.isArray(a) && Array.isArray(b))
    return a.length === b.length && a.every((item, i) => deepEqual(item, b[i], ignoring));
  if (a instanceof Map && b instanceof Map) return deepEqual([...a], [...b], ignoring);
  return equalObjects(a as Record<string, unknown>, b as Record<string, unknown>, ignoring);
}

const NONE: ReadonlySet<string> = new Set();

function equalObjects(a: Record<string, unknown>, b: Record<string, unknown>, ignoring: ReadonlySet<string>): boolean {
  for (const key of new Set([...Object.keys(a), ...Object.keys(b)])) {
    if (!ignoring.has(key) && !deepEqual(a[key], b[key], ignoring)) return false;
  }
  return true;
}
