import { shapeSentence } from '../review/shapeWording';
import type { JudgedResult } from '../review/judgedResult';
import { verdictSentence } from '../review/verdictSentence';
import { adjusterSentences } from './adjustersStory';
import { changeSentence } from './changeParts';
import { causeSentence, causeSteps } from './correctionStory';
import { normalisationSentence } from './normalisationParts';
import { decidingSentence, furtherReasons, gasSentence, loopsSentence, nextSteps } from './resultStory';

/** A name and a sentence; the sentence may hold text from files. */
export type Fact = readonly [name: string, text: string];

/**
 * What a reviewer needs of a result before any chart, as every report tells it. An adjuster has a sentence for each of its sweeps.
 *
 * @param line the verdict's own, where it was made already
 */
export function factsOf(result: JudgedResult, line = verdictSentence(result)): readonly Fact[] {
  const facts: readonly (readonly [string, string | undefined])[] = [
    ['Test', decidingSentence(result)],
    ['Change', changeSentence(result)],
    ['Heat', normalisationSentence(result)],
    ['Loops', loopsSentence(result)],
    ['Gas', gasSentence(result)],
    ['Shape', shapeSentence(result.shape)],
    ...adjusterSentences(result).map((sentence) => ['Adjuster', sentence] as const),
    ['Why', result.reasons.length === 0 ? undefined : furtherReasons(result, line)],
    ['Cause', causeSentence(result)],
  ];
  return facts.flatMap(([name, text]) => (text === undefined ? [] : [[name, text] as const]));
}

/** Adjusters and causes have parts of their own, with charts, where there is room for them. */
const TOLD_APART: ReadonlySet<string> = new Set(['Adjuster', 'Cause']);

/** The facts that stand at the head of a report or page. */
export function openingFacts(result: JudgedResult): readonly Fact[] {
  return factsOf(result)
    .filter(([name]) => !TOLD_APART.has(name))
    .map(([name, text]) => [name, text.charAt(0).toUpperCase() + text.slice(1)] as const);
}

/** What to do, the weightiest first. */
export function stepsOf(result: JudgedResult): readonly string[] {
  return [...causeSteps(result), ...nextSteps(result.findings)];
}
