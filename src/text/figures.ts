/**
 * One resolution for each kind of number, so that the machine-readable document, the terminal and the pages never differ: every
 * shown figure is first brought to the document's resolution, then to its own. Arguments are SI; speeds come out in mm/s, lengths
 * in mm. Sentences are worded in src/review/wording.ts.
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

/** Whole percents, for tables: more decimals only where `100` would hide on which side of the limit a value lies. */
function wholePercent(percent: number): string {
  return Math.abs(percent - 100) < 0.5 ? besideLimit(percent) : trimmed(percent, 0);
}

/** `100` would hide on which side of the limit a value lies: more decimals there, as far as the document has them. */
function besideLimit(percent: number): string {
  const least = Math.abs(percent) < 10 || Math.abs(percent - 100) < 1 ? 1 : 0;
  return trimmed(percent, percent !== 100 && Number(percent.toFixed(least)) === 100 ? 2 : least);
}

/** Numbers in tables, without the unit that their header carries. */
export const bare = {
  force: (newton: number): string => fixed(machine.force(newton), 1).toFixed(1),
  signedForce: (newton: number): string => withSign(bare.force(newton)),
  /** A fraction in percent, to 0.1 %. */
  signedPercent: (fraction: number): string => withSign(fixed(machine.percent(fraction), 1).toFixed(1)),
  speed: (metresPerSecond: number): string => trimmed(machine.speed(metresPerSecond), 1),
  share: (fraction: number): string => besideLimit(machine.percent(fraction)),
  wholeShare: (fraction: number): string => wholePercent(machine.percent(fraction)),
};

/** A plus before what is neither negative nor zero. */
export function withSign(figure: string): string {
  return figure.startsWith('-') || Number(figure) === 0 ? figure : `+${figure}`;
}
