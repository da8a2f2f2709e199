import { REQUEST, type Requests } from '../protocol/requests';
import { SessionFault } from '../session/sessionFault';
import { compareByName } from './compareRequest';
import { inWords } from './faultInWords';
import { adoptEdits } from './features/adopt';
import { registerBranch } from './features/branchRequest';
import { reduceEdits } from './features/reduceAgain';
import { waiveEdits } from './features/waive';
import type { ServerParts } from './server';
import { adjusterView } from './views/adjusterView';
import { comparisonView } from './views/comparisonView';
import { previewView } from './views/previewView';
import { statusOf } from './views/statusView';
import { compareTargetsOf, treeOf } from './views/treeView';
import type { Place } from './workspace';

type Method = keyof Requests;

/** Answers our own requests: what tree, status, badges and pages show. */
export function registerViews(parts: ServerParts): void {
  const { connection, workspace } = parts;
  const answer = <M extends Method>(
    method: M,
    work: (params: Requests[M]['params']) => Promise<Requests[M]['result']>,
  ): void => {
    connection.onRequest(method, async (params: Requests[M]['params']) => {
      try {
        await workspace.opened;
        return await work(params);
      } catch (error) {
        return inWords(error);
      }
    });
  };
  /** The place of a file once its repository has settled. */
  const settledPlace = async (uri: string): Promise<Place | undefined> => {
    const place = await workspace.placeOf(uri);
    await place?.repository.whenSettled();
    return place;
  };

  answer(REQUEST.tree, async () => {
    await Promise.all(workspace.repositories.map((repository) => repository.whenSettled()));
    return treeOf(workspace.repositories);
  });
  answer(REQUEST.status, async ({ uri }) => statusOf(await settledPlace(uri)));
  answer(REQUEST.preview, async ({ uri, setting, select, width }) => {
    const place = await settledPlace(uri);
    const result = place?.repository.resultOf(place.path);
    if (place === undefined || result === undefined) return null;
    return previewView(result, (path) => place.repository.folder.uriOf(path), { setting, select, width });
  });
  answer(REQUEST.compareTargets, async () => {
    await Promise.all(workspace.repositories.map((repository) => repository.whenSettled()));
    return compareTargetsOf(workspace.repositories);
  });
  answer(REQUEST.compare, async ({ a, b, width }) => {
    const { comparison, repository } = await compareByName(workspace, a, b);
    return comparisonView(comparison, { a, b }, (path) => repository.folder.uriOf(path), width);
  });
  answer(REQUEST.adjusters, async ({ uri, width }) => {
    const place = await settledPlace(uri);
    const result = place?.repository.resultOf(place.path);
    if (place === undefined || result === undefined) return null;
    return adjusterView(result, (path) => place.repository.folder.uriOf(path), width) ?? null;
  });
  registerBranch(parts);
  answer(REQUEST.adopt, async ({ uris, reason }) => adoptEdits(await Promise.all(uris.map(requiredPlace)), reason));
  answer(REQUEST.reduce, async ({ uri }) => reduceEdits(await requiredPlace(uri)));
  answer(REQUEST.goOn, async () => {
    for (const repository of workspace.repositories) repository.goOn();
    await Promise.all(workspace.repositories.map((repository) => repository.whenSettled()));
    return null;
  });
  answer(REQUEST.waive, async (params) => waiveEdits(await requiredPlace(params.uri), params, parts.documents));

  async function requiredPlace(uri: string): Promise<Place> {
    (await workspace.placeOf(uri))?.repository.goOn();
    const place = await settledPlace(uri);
    if (place !== undefined) return place;
    throw new SessionFault(
      'The file lies in no damper-spec repository.',
      'Put a damper-review.yaml at the root of its folder.',
    );
  }
}
