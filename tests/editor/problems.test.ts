import { expect, it } from 'vitest';
import { sceneOf } from './host/scene';
import {
  judgesByUnsavedReference,
  listsTheDriftingRebuild,
  raisesAndMendsAlteredResult,
  showsBrokenToleranceAtItsKey,
} from './states';

/** Findings in the Problems view. */
const scene = sceneOf();

it('lists the drifting rebuild though no file is open, one entry for its side and band', async () => {
  expect(await scene.editor.page.locator('.editor-group-container .tab').count()).toBe(0);
  await listsTheDriftingRebuild(scene);
  await scene.editor.shot('problems-no-file-open');
});

it('raises result-altered for a number edited by hand, and the quick fix mends it', () =>
  raisesAndMendsAlteredResult(scene, 'problems-result-altered'));

it('judges results again by the unsaved text of their reference, and undo brings back what was', () =>
  judgesByUnsavedReference(scene, 'problems-unsaved-reference'));

it('shows a broken tolerance at its key', () => showsBrokenToleranceAtItsKey(scene, 'problems-broken-tolerance'));
