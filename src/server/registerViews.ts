import { ErrorCodes, ResponseError } from 'vscode-languageserver';
import { REQUEST, type Requests } from '../protocol/requests';
import { AbortedError } from '../ports/abort';
import { SessionFault } from '../session/sessionFault';
import { spellHidden } from '../text/visible';
import { RevisionFault } from '../ports/revisions';
import { compareByName } from './compareRequest';
import { adoptEdits } from './features/adopt';
import { reduceEdits } from './features/reduceAgain';
import { waiveEdits } from './features/waive';
import type { ServerParts } from './server';
import { adjusterView } from './views/adjusterView';
import { branchView } from './views/branchView';
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
  answer(REQUEST.preview, async ({ uri, setting, select }) => {
    const place = await settledPlace(uri);
    const result = place?.repository.resultOf(place.path);
    if (place === undefined || result === undefined) return null;
    return previewView(result, (path) => place.repository.folder.uriOf(path), { setting, select });
  });
  answer(REQUEST.compareTargets, async () => {
    await Promise.all(workspace.repositories.map((repository) => repository.whenSettled()));
    return compareTargetsOf(workspace.repositories);
  });
  answer(REQUEST.compare, async ({ a, b }) => {
    const { comparison, repository } = await compareByName(workspace, a, b);
    return comparisonView(comparison, { a, b }, (path) => repository.folder.uriOf(path));
  });
  answer(REQUEST.adjusters, async ({ uri }) => {
    const place = await settledPlace(uri);
    const result = place?.repository.resultOf(place.path);
    if (place === undefined || result === undefined) return null;
    return adjusterView(result, (path) => place.repository.folder.uriOf(path)) ?? null;
  });
  answer(REQUEST.branch, async ({ uri, base }) => {
    const repository = uri === undefined ? workspace.repositories[0] : (await workspace.placeOf(uri))?.repository;
    if (repository === undefined)
      throw new SessionFault(
        'No damper-spec repository is open.',
        'Open a folder with a damper-review.yaml at its root.',
      );
    const changes = await repository.history.branch(base);
    return branchView(changes, base, (path) => repository.folder.uriOf(path));
  });
  answer(REQUEST.adopt, async ({ uris, reason }) => adoptEdits(await Promise.all(uris.map(requiredPlace)), reason));
  answer(REQUEST.reduce, async ({ uri }) => reduceEdits(await requiredPlace(uri)));
  answer(REQUEST.waive, async (params) => waiveEdits(await requiredPlace(params.uri), params, parts.documents));

  async function requiredPlace(uri: string): Promise<Place> {
    const place = await settledPlace(uri);
    if (place !== undefined) return place;
    throw new SessionFault(
      'The file lies in no damper-spec repository.',
      'Put a damper-review.yaml at the root of its folder.',
    );
  }
}

/** A fault as the user reads it. What is no fault of the user's goes on as it is. */
function inWords(error: unknown): ResponseError {
  if (error instanceof SessionFault || error instanceof RevisionFault)
    return new ResponseError(ErrorCodes.InvalidParams, spellHidden(`${error.message} ${error.remedy}`));
  if (error instanceof AbortedError) return new ResponseError(-32800, 'The request was given up.');
  const message = error instanceof Error ? error.message : String(error);
  return new ResponseError(ErrorCodes.InternalError, spellHidden(`The program failed: ${message}.`));
}
