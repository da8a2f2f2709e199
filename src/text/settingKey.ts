/** Positions by adjuster id, in the order of the adjusters. */
type Positions = Readonly<Record<string, number>>;

/** Equal for equal settings, whatever the order of their adjusters; for maps and sets, not for show. */
export function settingKey(setting: Positions): string {
  return JSON.stringify(Object.entries(setting).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)));
}
