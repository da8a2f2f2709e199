import { worseVerdict } from '../../review/bands';
import { verdictSentence } from '../../review/verdictSentence';
import type { StatusView } from '../../protocol/requests';
import { spellHidden } from '../../text/visible';
import type { Place } from '../workspace';

/** The verdict of a result, or of all that rest on a spec or reference; that the review was stopped where it was. */
export function statusOf(place: Place | undefined): StatusView | null {
  if (place === undefined) return null;
  const told = toldStatus(place);
  if (!place.repository.isStopped) return told;
  return told === null
    ? { sentence: 'The review was stopped: nothing is judged yet', stopped: true }
    : { ...told, sentence: `The review was stopped; before: ${told.sentence}`, stopped: true };
}

function toldStatus({ repository, path }: Place): StatusView | null {
  const own = repository.resultOf(path);
  if (own !== undefined) return { verdict: own.verdict, sentence: spellHidden(verdictSentence(own)) };
  const resting = repository.results.filter(({ spec, reference }) => spec?.file === path || reference?.file === path);
  if (resting.length === 0) return null;
  const counts = (['fail', 'undecided', 'pass'] as const)
    .map((verdict) => [resting.filter((result) => result.verdict === verdict).length, verdict] as const)
    .filter(([count]) => count > 0)
    .map(([count, verdict]) => `${count} ${verdict}`);
  return {
    verdict: resting.map((result) => result.verdict).reduce(worseVerdict),
    sentence: `${resting.length} results rest on it: ${counts.join(', ')}`.replace(/^1 results rest/, '1 result rests'),
  };
}
