import type { Adjuster } from '../files/spec';
import type { Conclusion, CorrectionTerm } from './correction';
import type { JudgedResult } from './judgedResult';
import { countText, decimalText, forceText, percentText, temperatureText } from './wording';

interface SentenceParts {
  readonly result: JudgedResult;
  readonly adjusters: readonly Adjuster[];
}

/** One cause in a plain sentence, and what to check next. */
export function causeConclusion(term: CorrectionTerm, { result, adjusters }: SentenceParts): Conclusion {
  switch (term.kind) {
    case 'gas':
      return gasConclusion(term, result);
    case 'friction':
      return {
        text: `Friction is ${forceText(Math.abs(term.value))} ${term.value > 0 ? 'higher' : 'lower'} (U ${forceText(term.U)}) in both directions alike.`,
        next:
          term.value > 0
            ? 'Turn and push the rod by hand; check seals, guide bush and rod for bend, and that the rod ends line up on the bench.'
            : 'Check that seals and piston band are all in place, and how long the reference unit had run.',
      };
    case 'scale':
      return scaleConclusion(term);
    case 'temperature':
      return temperatureConclusion(term, result);
    case 'needle':
      return needleConclusion(
        term,
        adjusters.find(({ id }) => id === term.adjuster)!,
      );
  }
}

function gasConclusion({ value, U, pressure }: CorrectionTerm, { table, reference }: JudgedResult): Conclusion {
  const bars =
    pressure === undefined ? '' : `, ${decimalText(Math.abs(pressure.value) / 1e5, 2)} bar at mid-stroke if it is gas`;
  const zeroed = table.basis.forceZero === 'unloaded' && reference?.basis.forceZero === 'unloaded';
  return {
    text: `A constant force of ${forceText(Math.abs(value))} (U ${forceText(U)}${bars}) is ${value > 0 ? 'more' : 'less'} than in the reference, the same in both directions: ${zeroed ? 'gas charge, or a load cell that moved off its zero' : "gas charge or the bench's zero"}.`,
    next: "Zero the load cell unloaded and test again; if it stays, check the charge by the maker's procedure.",
  };
}

function scaleConclusion({ side, value, U }: CorrectionTerm): Conclusion {
  return {
    text: `The whole ${side!} side is ${percentText(Math.abs(value))} ${value > 0 ? 'harder' : 'softer'} (U ${percentText(U)}) at all speeds alike: shims, or oil.`,
    next: `Test at fully closed too: if ${side!} is off there as well, it is the shim stack; take it apart and check thickness, count and preload against the build sheet.`,
  };
}

function temperatureConclusion({ value, U }: CorrectionTerm, { points, reference }: JudgedResult): Conclusion {
  const tested = meanOf(points.flatMap(({ temperature }) => temperature ?? []));
  const before = meanOf((reference?.rows ?? []).flatMap(({ temperature }) => temperature ?? []));
  const read =
    tested === undefined || before === undefined
      ? ''
      : ` The thermometers say ${temperatureText(tested)} in the test, ${temperatureText(before)} in the reference.`;
  return {
    text: `Both sides are ${value > 0 ? 'softer' : 'harder'} alike, as from oil ${decimalText(Math.abs(value), 0)} K ${value > 0 ? 'warmer' : 'colder'} (U ${decimalText(U, 0)} K), or from ${value > 0 ? 'thinner' : 'thicker'} oil.${read}`,
    next: 'Test again at the temperature of the reference; if it stays, check the oil: grade, age, and air in it.',
  };
}

function needleConclusion({ value, U, unit }: CorrectionTerm, adjuster: Adjuster): Conclusion {
  const size = Math.abs(value);
  const whole = Math.max(1, Math.round(size));
  const near = size >= 0.5 && Math.abs(size - whole) <= Math.max(U, NEAR_WHOLE);
  const amount = near ? amountText(whole, unit) : `${decimalText(size, 1)} ${plural(unit)}`;
  return {
    text: `Needle zero of ${adjuster.id} is off by ${amount} (${decimalText(size, 2)}, U ${decimalText(U, 2)}): it stands further ${value < 0 ? 'in' : 'out'} than it says. Re-index and retest.`,
    next: `Turn ${adjuster.id} to its stop by finger torque and count out again; if the count was right, index the needle.`,
  };
}

/** A fit this close to a whole click is that click: sweeps do not tell finer. */
const NEAR_WHOLE = 0.25;

/** `1 click`, `3 clicks`, `2 lb`. */
export function amountText(count: number, unit: string): string {
  return unit === 'click' || unit === 'turn' ? countText(count, unit) : `${decimalText(count, 2)} ${unit}`;
}

function plural(unit: string): string {
  return unit === 'click' || unit === 'turn' ? `${unit}s` : unit;
}

function meanOf(values: readonly number[]): number | undefined {
  const known = values.filter((value) => Number.isFinite(value));
  return known.length === 0 ? undefined : known.reduce((sum, value) => sum + value, 0) / known.length;
}
