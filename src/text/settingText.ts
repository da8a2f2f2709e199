/** Positions by adjuster id, in the order of the adjusters. */
type Positions = Readonly<Record<string, number>>;

export interface SettingTextOptions {
  /** Only these adjusters, such as the ones that act on the side in question; all where none of them is in the setting. */
  readonly only?: readonly string[];
  /** Unit by adjuster id; `click` is left unsaid. */
  readonly units?: Readonly<Record<string, string>>;
}

/** A setting as it is called out at the bench: `LSC 8, HSC 3, R 6`; empty for a damper without adjusters. Holds ids from files. */
export function settingText(setting: Positions, options: SettingTextOptions = {}): string {
  const all = Object.keys(setting);
  const some = options.only === undefined ? all : all.filter((id) => options.only!.includes(id));
  return (some.length > 0 ? some : all)
    .map((id) => {
      const unit = options.units?.[id] ?? 'click';
      return `${id} ${Number(setting[id]!.toFixed(3))}${unit === 'click' ? '' : ` ${unit}`}`;
    })
    .join(', ');
}

/** Equal for equal settings, whatever the order of their adjusters; for maps and sets, not for show. */
export function settingKey(setting: Positions): string {
  return JSON.stringify(Object.entries(setting).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)));
}
