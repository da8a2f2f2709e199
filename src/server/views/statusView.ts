import { worseVerdict } from '../../review/bands';
import { verdictSentence } from '../../review/verdictSentence';
import type { StatusView } from '../../protocol/requests';
import { spellHidden } from '../../text/visible';
import type { Place } from '../workspace';

/** The verdict of a result, or of all that rest on a spec or reference. */
export function statusOf(place: Place | undefined): StatusView | null {
  if (place === undefined) return null;
  const { repository, path } = place;
  const own = repository.resultOf(path);
  if (own !== undefined) return { verdict: own.verdict, sentence: spellHidden(verdictSentence(own)) };
  const resting = repository.results.filter(({ spec, reference }) => spec?.file === path || reference?.file === path);
  if (resting.length === 0) return null;
  const counts = (['fail', 'undecided', 'pass'] as const)
    .map((verdict) => [resting.filter((result) => result.verdict === verdict).length, verdict] as const)
    .filter(([count]) => count > 0)
    .map(([count, verdict]) => `${count} ${verdict}`);
  return {
    verdict: resting.map(({ verdict }) => verdict).reduce(worseVerdict),
    sentence: `${resting.length} results rest on it: ${counts.join(', ')}`.replace(/^1 results rest/, '1 result rests'),
  };
}
