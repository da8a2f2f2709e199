/**
 * One resolution for each kind of number, so that terminal, pages and tables never differ, and the machine-readable document has the same
 * numbers with a digit or two more. Every figure is rounded once, from the measured value. Arguments are SI; speeds come out in mm/s,
 * lengths in mm. Sentences are worded in src/review/wording.ts.
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

/** Whole percents; where `100` would hide on which side of the limit a value lies, the decimals that tell, as far as the document has them. */
function wholePercent(percent: number): string {
  const whole = percent.toFixed(0);
  if (whole !== '100') return whole === '-0' ? '0' : whole;
  const telling = [0, 1, 2].find((decimals) => Number(percent.toFixed(decimals)) !== 100);
  return trimmed(percent, telling ?? 0);
}

/** Exactly so many decimals, for columns of figures without a kind of their own. */
export function decimal(value: number, decimals: number): string {
  return fixed(value, decimals).toFixed(decimals);
}

/** Numbers in tables, without the unit that their header carries. */
export const bare = {
  force: (newton: number): string => fixed(newton, 1).toFixed(1),
  signedForce: (newton: number): string => withSign(bare.force(newton)),
  /** A fraction in percent, to 0.1 %. */
  signedPercent: (fraction: number): string => withSign(fixed(fraction * 100, 1).toFixed(1)),
  speed: (metresPerSecond: number): string => trimmed(metresPerSecond * 1000, 1),
  wholeShare: (fraction: number): string => wholePercent(fraction * 100),
};

/** A plus before what is neither negative nor zero. */
export function withSign(figure: string): string {
  return figure.startsWith('-') || Number(figure) === 0 ? figure : `+${figure}`;
}
