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

/** At most `decimals` digits after the point, trailing zeros dropped. */
function trimmed(value: number, decimals: number): string {
  return String(fixed(value, decimals));
}

/** `100` would hide on which side of the limit a value lies: more decimals there, as far as the document has them. */
function besideLimit(percent: number): string {
  const least = Math.abs(percent) < 10 || Math.abs(percent - 100) < 1 ? 1 : 0;
  return trimmed(percent, percent !== 100 && Number(percent.toFixed(least)) === 100 ? 2 : least);
}

/** Numbers in sentences, with their unit; worded as the messages of the findings are. */
export const shown = {
  /** Whole newtons from 100 N on, else to 0.1 N. */
  force: (newton: number): string => {
    const value = machine.force(newton);
    return `${trimmed(value, Math.abs(value) < 100 ? 1 : 0)} N`;
  },
  speed: (metresPerSecond: number): string => `${proseSpeed(metresPerSecond)} mm/s`,
  speedRange: (from: number, to: number): string =>
    proseSpeed(from) === proseSpeed(to) ? shown.speed(from) : `${proseSpeed(from)} to ${shown.speed(to)}`,
  /** A fraction, |drift| / tolerance for instance, in percent. */
  share: (fraction: number): string => `${bare.share(fraction)} %`,
  length: (metre: number): string => `${trimmed(machine.length(metre), 1)} mm`,
  celsius: (kelvin: number): string => `${trimmed(machine.celsius(kelvin), 1)} °C`,
};

function proseSpeed(metresPerSecond: number): string {
  const value = machine.speed(metresPerSecond);
  return trimmed(value, Math.abs(value) < 100 ? 1 : 0);
}

/** Numbers in tables, without the unit that their header carries. */
export const bare = {
  force: (newton: number): string => fixed(machine.force(newton), 1).toFixed(1),
  signedForce: (newton: number): string => withSign(bare.force(newton)),
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
