/** What is measured. `fraction` is a plain number or percent; `acceleration` to `power` follow from the others and are named for messages. */
export type Dimension =
  | 'length'
  | 'velocity'
  | 'acceleration'
  | 'force'
  | 'temperature'
  | 'pressure'
  | 'area'
  | 'volume'
  | 'mass'
  | 'stiffness'
  | 'damping'
  | 'time'
  | 'frequency'
  | 'energy'
  | 'power'
  | 'fraction';

/** SI value = value x factor + offset; only temperatures have an offset. */
export interface Unit {
  /** UCUM code (`k[lbf_av]` is our one extension: UCUM does not mark the pound-force as metric). */
  readonly code: string;
  readonly dimension: Dimension;
  readonly factor: number;
  readonly offset: number;
  /** n where the factor is one over the whole number n, as 1000 of mm; 0 for every other. */
  readonly divisor: number;
}

// Exact by definition: NIST SP 811 (2008), appendix B.8.
const INCH = 0.0254;
const FOOT = 0.3048;
const POUND = 0.45359237;
const STANDARD_GRAVITY = 9.80665;
const POUND_FORCE = 4.4482216152605;
const ZERO_CELSIUS = 273.15;

interface UnitRow {
  readonly unit: Unit;
  /** Everyday spellings beside the UCUM code. */
  readonly spellings: readonly string[];
}

function row(
  code: string,
  dimension: Dimension,
  factor: number,
  spellings: readonly string[] = [],
  offset = 0,
): UnitRow {
  return { unit: { code, dimension, factor, offset, divisor: wholeDivisor(factor) }, spellings };
}

function wholeDivisor(factor: number): number {
  const divisor = Math.round(1 / factor);
  return factor < 1 && 1 / divisor === factor ? divisor : 0;
}

/**
 * Every unit that files may use. Closed on purpose: see docs/formats.md, "Units". The first row of a dimension is the one
 * that messages and files written here use.
 */
export const UNIT_ROWS: readonly UnitRow[] = [
  row('mm', 'length', 1e-3),
  row('m', 'length', 1),
  row('cm', 'length', 1e-2),
  row('um', 'length', 1e-6),
  row('[in_i]', 'length', INCH, ['in', 'inch']),
  row('[ft_i]', 'length', FOOT, ['ft']),

  row('mm/s', 'velocity', 1e-3),
  row('m/s', 'velocity', 1),
  row('cm/s', 'velocity', 1e-2),
  row('[in_i]/s', 'velocity', INCH, ['in/s', 'ips']),
  row('[ft_i]/s', 'velocity', FOOT, ['ft/s']),

  row('m/s2', 'acceleration', 1),
  row('mm/s2', 'acceleration', 1e-3),
  row('[g]', 'acceleration', STANDARD_GRAVITY),

  row('N', 'force', 1),
  row('kN', 'force', 1e3),
  row('daN', 'force', 10),
  row('[lbf_av]', 'force', POUND_FORCE, ['lbf']),
  row('k[lbf_av]', 'force', 1e3 * POUND_FORCE, ['klbf']),
  row('kgf', 'force', STANDARD_GRAVITY),

  row('Cel', 'temperature', 1, ['degC'], ZERO_CELSIUS),
  row('K', 'temperature', 1),
  row('[degF]', 'temperature', 5 / 9, ['degF'], (459.67 * 5) / 9),

  row('bar', 'pressure', 1e5),
  row('mbar', 'pressure', 1e2),
  row('Pa', 'pressure', 1),
  row('kPa', 'pressure', 1e3),
  row('MPa', 'pressure', 1e6),
  row('[psi]', 'pressure', POUND_FORCE / (INCH * INCH), ['psi']),

  row('mm2', 'area', 1e-6),
  row('cm2', 'area', 1e-4),
  row('m2', 'area', 1),
  row('[in_i]2', 'area', INCH * INCH, ['in2']),

  row('cm3', 'volume', 1e-6, ['cc']),
  row('mm3', 'volume', 1e-9),
  row('m3', 'volume', 1),
  row('L', 'volume', 1e-3, ['l']),
  row('mL', 'volume', 1e-6, ['ml']),
  row('[in_i]3', 'volume', INCH * INCH * INCH, ['in3']),

  row('kg', 'mass', 1),
  row('g', 'mass', 1e-3),
  row('[lb_av]', 'mass', POUND, ['lb']),

  row('N/mm', 'stiffness', 1e3),
  row('N/m', 'stiffness', 1),
  row('kN/m', 'stiffness', 1e3),
  row('kN/mm', 'stiffness', 1e6),
  row('kgf/mm', 'stiffness', 1e3 * STANDARD_GRAVITY),
  row('[lbf_av]/[in_i]', 'stiffness', POUND_FORCE / INCH, ['lbf/in']),

  row('N.s/m', 'damping', 1, ['Ns/m']),
  row('N.s/mm', 'damping', 1e3, ['Ns/mm']),
  row('kN.s/m', 'damping', 1e3, ['kNs/m']),
  row('[lbf_av].s/[in_i]', 'damping', POUND_FORCE / INCH, ['lbf.s/in']),

  row('s', 'time', 1),
  row('ms', 'time', 1e-3),
  row('us', 'time', 1e-6),
  row('min', 'time', 60),
  row('h', 'time', 3600),
  row('d', 'time', 86400),

  row('Hz', 'frequency', 1),
  row('kHz', 'frequency', 1e3),
  row('/min', 'frequency', 1 / 60, ['1/min']),

  row('J', 'energy', 1),
  row('mJ', 'energy', 1e-3),
  row('kJ', 'energy', 1e3),
  row('N.m', 'energy', 1, ['Nm']),
  row('[ft_i].[lbf_av]', 'energy', FOOT * POUND_FORCE, ['ft.lbf']),
  row('[in_i].[lbf_av]', 'energy', INCH * POUND_FORCE, ['in.lbf']),

  row('W', 'power', 1),
  row('kW', 'power', 1e3),

  row('%', 'fraction', 1e-2),
  row('1', 'fraction', 1),
];

/** Words for a dimension in messages, with its article. */
export const DIMENSION_WORDS: Readonly<Record<Dimension, string>> = {
  length: 'a length',
  velocity: 'a velocity',
  acceleration: 'an acceleration',
  force: 'a force',
  temperature: 'a temperature',
  pressure: 'a pressure',
  area: 'an area',
  volume: 'a volume',
  mass: 'a mass',
  stiffness: 'a spring rate',
  damping: 'a damping rate',
  time: 'a time',
  frequency: 'a frequency',
  energy: 'an energy',
  power: 'a power',
  fraction: 'a fraction',
};
