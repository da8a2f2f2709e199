import { causeSteps } from './correctionStory';
import { changeSentence } from './changeParts';
import { decidingSentence, furtherReasons, gasSentence, loopsSentence, nextSteps } from './resultStory';
import { normalisationSentence } from './normalisationParts';
import { shapeSentence } from '../review/shapeWording';
import { verdictSentence } from '../review/verdictSentence';
import type { JudgedResult } from '../review/judgedResult';

/** What a reviewer needs of a result before any chart, name and sentence; the same for report and page. They may hold text from files. */
export function openingFacts(result: JudgedResult): readonly (readonly [string, string])[] {
  const facts: readonly (readonly [string, string | undefined])[] = [
    ['Test', decidingSentence(result)],
    ['Change', changeSentence(result)],
    ['Heat', normalisationSentence(result)],
    ['Loops', loopsSentence(result)],
    ['Gas', gasSentence(result)],
    ['Shape', shapeSentence(result.shape)],
    ['Why', furtherReasons(result, verdictSentence(result))],
  ];
  return facts.flatMap(([name, text]) =>
    text === undefined ? [] : [[name, text.charAt(0).toUpperCase() + text.slice(1)] as const],
  );
}

/** What to do, the weightiest first. */
export function stepsOf(result: JudgedResult): readonly string[] {
  return [...causeSteps(result), ...nextSteps(result.findings)];
}
