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
  const facts: Fact[] = [];
  const add = (name: string, text: string | undefined): void => {
    if (text !== undefined) facts.push([name, text]);
  };
  add('Test', decidingSentence(result));
  add('Change', changeSentence(result));
  add('Heat', normalisationSentence(result));
  add('Loops', loopsSentence(result));
  add('Gas', gasSentence(result));
  add('Shape', shapeSentence(result.shape));
  for (const sentence of adjusterSentences(result)) add('Adjuster', sentence);
  if (result.reasons.length > 0) add('Why', furtherReasons(result, line));
  add('Cause', causeSentence(result));
  return facts;
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
