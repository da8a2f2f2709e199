import type { JudgedResult } from '../review/judgedResult';
import type { ResultEntry } from './reviewSchema';
import { countText, decimalText, forceText, listText, temperatureText } from '../review/wording';

/** What was corrected for temperature and by how much, to stand beside the word `Heat`; undefined where the spec does not ask for it. */
export function normalisationSentence({ normalisation, points }: JudgedResult): string | undefined {
  if (normalisation === undefined) return undefined;
  if (normalisation.kind === 'unknown') return `not normalised: ${normalisation.reason}.`;
  const { perKelvin, u } = normalisation.coefficient;
  const corrected = points.filter((point) => point.normalised !== undefined);
  if (corrected.length === 0) return 'not normalised: test or reference does not state its temperature.';
  const largest = Math.max(...corrected.map((point) => Math.abs(point.normalised!.damping - point.damping!)));
  const temperatures = corrected.map((point) => point.normalised!.temperature);
  const [low, high] = [Math.min(...temperatures), Math.max(...temperatures)].map(temperatureText);
  const to = low === high ? low! : `${low!} to ${high!}`;
  return (
    `${countText(corrected.length, 'point')} judged at the reference's ${to}: ${decimalText(perKelvin * 100, 3)} % of damping lost a kelvin ` +
    `(U ${decimalText(200 * u, 3)} %, from ${listText(normalisation.from)}); the largest correction is ${forceText(largest)}.`
  );
}

export function normalisationEntry({ normalisation }: JudgedResult): ResultEntry['normalisation'] {
  if (normalisation?.kind !== 'known') return undefined;
  const { perKelvin, u } = normalisation.coefficient;
  return {
    loss_percent_per_K: perKelvinOf(perKelvin),
    U_percent_per_K: perKelvinOf(2 * u),
    from: [...normalisation.from],
  };
}

/** 0.0001 %/K: a kelvin is a tenth of a percent or two. */
function perKelvinOf(share: number): number {
  return Number((share * 100).toFixed(4)) + 0;
}
