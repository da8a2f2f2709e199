import type { DriftExplanation } from '../analysis/corrections/explainDrift';
import type { Adjuster } from '../files/spec';
import type { Advice, AdvisedGroup, Conclusion, CorrectionTerm } from './correction';
import type { FittedPoint } from './correctionPoints';
import { patternConclusions } from './correctionPatterns';
import { causeConclusion } from './correctionSentences';
import type { JudgedResult } from './judgedResult';
import { forceText, listText, percentText, settingText, speedText } from './wording';

/** All that the conclusions are drawn from. */
export interface ConclusionParts {
  readonly result: JudgedResult;
  readonly adjusters: readonly Adjuster[];
  readonly fitted: readonly FittedPoint[];
  readonly explanation: DriftExplanation;
  readonly terms: readonly CorrectionTerm[];
  readonly advised: () => Advice | undefined;
}

/** What it comes to, the weightiest first: the causes, or that it is none of them; where in a sweep it is off; a unit that no click mends. */
export function conclusionsOf(parts: ConclusionParts): readonly Conclusion[] {
  const { explanation, result, adjusters, terms, advised } = parts;
  if (explanation.state === 'nothing')
    return [{ text: 'There is no drift beyond its uncertainty: nothing to explain.', next: '' }];
  const explained = explanation.state === 'explained';
  const named = explained ? terms.filter(({ minor }) => !minor) : [];
  const none = explained && named.length === 0 ? [NOTHING_OF_WEIGHT] : [];
  return [
    ...none,
    ...(explained ? named.map((term) => causeConclusion(term, parts)) : [noneOfThese(parts)]),
    ...patternConclusions(result, adjusters, named),
    ...(advised()?.groups ?? []).filter(({ worn }) => worn).map(wornConclusion),
  ];
}

const NOTHING_OF_WEIGHT: Conclusion = {
  text: 'The causes found are within their uncertainty or too small to act on.',
  next: '',
};

/** The largest part that is left over, where it is and how much; the causes that come nearest are no ground to act on. */
function noneOfThese({ explanation, fitted, terms }: ConclusionParts): Conclusion {
  const left = fitted.map(({ drift }, i) => drift.drift - explanation.modelled[i]!);
  const at = left.reduce((best, one, i) => (Math.abs(one) > Math.abs(left[best]!) ? i : best), 0);
  const { side, velocity, setting } = fitted[at]!.judged;
  const positions = Object.keys(setting).length === 0 ? '' : ` at ${settingText(setting)}`;
  const share = percentText(Math.max(0, 1 - explanation.explained));
  const nearest =
    terms.length === 0
      ? ''
      : ` What comes nearest, ${listText(terms.map(({ cause }) => cause))}, makes ${percentText(explanation.explained)} of it: no ground to act on.`;
  return {
    text: `None of these causes: ${share} of the drift is left over, most in ${side} at ${speedText(velocity)}${positions} (${forceText(Math.abs(left[at]!))}).${nearest}`,
    next: `Look at the loops of that step, then take the ${side} side apart: a change at some speeds alone is valving, a leak or damage there.`,
  };
}

function wornConclusion({ adjusters, sides, answers }: AdvisedGroup): Conclusion {
  const ids = listText(adjusters.map(({ id }) => id));
  const best = answers[0];
  const worst = best?.worst;
  const rest =
    best === undefined || worst === undefined
      ? ''
      : ` The best, ${settingText(best.setting)}, leaves ${percentText(worst.share)} of tolerance, ${worst.side} ${speedText(worst.velocity)}.`;
  return {
    text: `No setting of ${ids} inside ${adjusters.length === 1 ? 'its range' : 'their ranges'} brings ${listText(sides)} back: worn or wrong inside; clicks cannot mend it.${rest}`,
    next: 'Rebuild it: clicks would only move the fault to other speeds.',
  };
}
