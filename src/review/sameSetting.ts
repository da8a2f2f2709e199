import type { Setting } from '../files/spec';

/** Whether two settings hold the same adjusters at the same positions, in whatever order: as equal `settingKey`s, without making a text. */
export function sameSetting(a: Setting, b: Setting): boolean {
  if (a === b) return true;
  const ids = Object.keys(a);
  if (ids.length !== Object.keys(b).length) return false;
  for (const id of ids) if (!Object.hasOwn(b, id) || a[id] !== b[id]) return false;
  return true;
}
