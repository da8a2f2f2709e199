/**
 * One resolution for each kind of number, so that the machine-readable document, the terminal and the pages never differ: every
 * shown figure is first brought to the document's resolution, then to its own. Arguments are SI; speeds come out in mm/s, lengths in mm.
 */

/** Rounds half away from zero as `toFixed` reads the double; never gives -0. */
function fixed(value: number, decimals: number): number {
  return Number(value.toFixed(decimals)) + 0;
}

/** To `digits` significant digits, never in exponent form for the sizes that occur here. */
function significant(value: number, digits: number): number {
  return Number(value.toPrecision(digits)) + 0;
}

/** Numbers of the machine-readable document. */
export const machine = {
  /** N -> N, 0.01 N */
  force: (newton: number): number => fixed(newton, 2),
  /** m/s -> mm/s, 0.01 mm/s */
  speed: (metresPerSecond: number): number => fixed(metresPerSecond * 1000, 2),
  /** m -> mm, 1 µm */
  length: (metre: number): number => fixed(metre * 1000, 3),
  /** fraction -> percent, 0.01 % */
  percent: (fraction: number): number => fixed(fraction * 100, 2),
  /** K -> °C, 0.01 K */
  celsius: (kelvin: number): number => fixed(kelvin - 273.15, 2),
  /** N/m -> N/mm, 1e-4 N/mm */
  rate: (newtonPerMetre: number): number => fixed(newtonPerMetre / 1000, 4),
  /** 5 significant digits: energy, power, equivalent damping, frequency. */
  size: (value: number): number => significant(value, 5),
  factor: (value: number): number => fixed(value, 3),
  degreesOfFreedom: (value: number): number => fixed(value, 1),
};

function trimmed(value: number, decimals: number): string {
  return String(fixed(value, decimals));
}

/** `100.0` would hide on which side of the limit a value lies: more decimals, as far as the document has them. */
function besideLimit(percent: number): string {
  const decimals = [0, 1, 2].find((n) => percent === 100 || Number(percent.toFixed(n)) !== 100) ?? 2;
  return percent.toFixed(decimals);
}

/** Numbers as people read them, with their unit where the name says so. */
export const shown = {
  /** For prose: whole newtons from 100 N on, else one decimal. */
  force: (newton: number): string => `${bare.proseForce(newton)} N`,
  speed: (metresPerSecond: number): string => `${bare.speed(metresPerSecond)} mm/s`,
  speedRange: (from: number, to: number): string =>
    bare.speed(from) === bare.speed(to) ? shown.speed(from) : `${bare.speed(from)} to ${shown.speed(to)}`,
  /** Percent of tolerance, |drift| / tolerance as a fraction. */
  share: (fraction: number): string => `${bare.share(fraction)} %`,
  percent: (fraction: number): string => `${machine.percent(fraction).toFixed(1)} %`,
  length: (metre: number): string => `${machine.length(metre).toFixed(1)} mm`,
  celsius: (kelvin: number): string => `${machine.celsius(kelvin).toFixed(0)} °C`,
};

/** The same without units, for tables whose header carries them. */
export const bare = {
  force: (newton: number): string => (fixed(machine.force(newton), 1) + 0).toFixed(1),
  signedForce: (newton: number): string => withSign(bare.force(newton)),
  proseForce: (newton: number): string => {
    const value = machine.force(newton);
    return (fixed(value, Math.abs(value) >= 100 ? 0 : 1) + 0).toFixed(Math.abs(value) >= 100 ? 0 : 1);
  },
  speed: (metresPerSecond: number): string => trimmed(machine.speed(metresPerSecond), 1),
  share: (fraction: number): string => besideLimit(machine.percent(fraction)),
};

/** A plus before what is neither negative nor zero. */
export function withSign(figure: string): string {
  return figure.startsWith('-') || Number(figure) === 0 ? figure : `+${figure}`;
}

/** A count with its noun: `1 point`, `3 points`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(items: readonly string[]): string {
  return items.length < 2 ? (items[0] ?? '') : `${items.slice(0, -1).join(', ')} and ${items.at(-1)!}`;
}
