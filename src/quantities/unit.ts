import { nearestSpelling } from './nearestSpelling';
import { UNIT_ROWS } from './unitTable';
import type { Dimension, Unit } from './unitTable';

export type { Dimension, Unit } from './unitTable';

const unitBySpelling: ReadonlyMap<string, Unit> = new Map(
  UNIT_ROWS.flatMap(({ unit, spellings }) => [unit.code, ...spellings].map((spelling) => [spelling, unit] as const)),
);

/**
 * Reads a unit: a UCUM code, or an everyday spelling such as `in/s`, `°C`, `N·s/m`, `cm³`. Case counts, as in UCUM.
 * Returns undefined for anything outside the table.
 */
export function parseUnit(text: string): Unit | undefined {
  return unitBySpelling.get(text) ?? unitBySpelling.get(plainSpelling(text));
}

/** The known spelling closest to a text that is no unit; of one dimension where that is known. */
export function nearestUnit(text: string, dimension?: Dimension): string | undefined {
  const plain = plainSpelling(text);
  const known = [...unitBySpelling].filter(([, unit]) => dimension === undefined || unit.dimension === dimension);
  // A UCUM code whose own brackets were left off (`in_i`), which the bracket of a column header swallows easily.
  const bracketed = known.find(([spelling]) => spelling.replace(/[[\]]/g, '') === plain.replace(/[[\]]/g, ''));
  return (
    bracketed?.[0] ??
    nearestSpelling(
      plain,
      known.map(([spelling]) => spelling),
    )
  );
}

/** The units of a dimension that a message can offer, the usual one first. */
export function unitsOf(dimension: Dimension): readonly string[] {
  return UNIT_ROWS.filter(({ unit }) => unit.dimension === dimension).map(
    ({ unit, spellings }) => spellings[0] ?? unit.code,
  );
}

/**
 * Converts to SI. Decimal submultiples are divided, not multiplied, so that 700 mm/s is exactly the 0.7 a person would
 * write: both the reader and the writer of tables use this, and so read back what they wrote.
 */
export function toSi(value: number, { factor, divisor, offset }: Unit): number {
  return (divisor === 0 ? value * factor : value / divisor) + offset;
}

/** Converts from SI: the inverse of {@link toSi}. */
export function fromSi(value: number, { factor, divisor, offset }: Unit): number {
  return divisor === 0 ? (value - offset) / factor : (value - offset) * divisor;
}

/** Typography to plain UCUM letters: `N·s/m` to `N.s/m`, `°C` to `degC`, `cm³` to `cm3`, `m/s^2` to `m/s2`. */
function plainSpelling(text: string): string {
  return text
    .normalize('NFKC') // superscripts to digits, the one-character degree Celsius to two, micro sign to mu
    .trim()
    .replace(/°\s?/g, 'deg')
    .replace(/μ/g, 'u')
    .replace(/[·⋅∙*]/g, '.')
    .replace(/\^/g, '')
    .replace(/\s*\/\s*/g, '/')
    .replace(/(?<=\S)\s(?=\S)/g, '.');
}
