import type { FileEdits } from '../../protocol/requests';
import { SessionFault } from '../../session/sessionFault';
import { spellHidden } from '../../text/visible';
import type { Place } from '../workspace';

/** Results as the reference curves of their spec, as an edit, with what turns by it. @throws SessionFault, RevisionFault */
export async function adoptEdits(places: readonly Place[], reason: string): Promise<FileEdits> {
  const [first, ...others] = places;
  if (first === undefined) throw new SessionFault('No result is named.', 'Choose one or more results of one spec.');
  if (others.some(({ repository }) => repository !== first.repository))
    throw new SessionFault('The results lie in different repositories.', 'Adopt results of one repository.');
  const { repository } = first;
  const plan = await repository.history.adoption(
    places.map(({ path }) => path),
    reason,
  );
  const turns = plan.preview.filter(({ before, after }) => before !== after);
  return {
    files: [
      {
        uri: repository.folder.uriOf(plan.path),
        text: new TextDecoder().decode(plan.bytes),
        isNew: plan.before === undefined,
      },
    ],
    notes: [...plan.doubts, ...turns.map(({ file, before, after }) => `${file}: ${before} to ${after}`)].map(
      spellHidden,
    ),
  };
}
