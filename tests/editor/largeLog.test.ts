import { statSync } from 'node:fs';
import { join } from 'node:path';
import type { Frame } from 'playwright-core';
import { beforeEach, describe, expect, it } from 'vitest';
import { appendRow, forcesBySpeed, LARGE_BYTES, writeLargeLog } from './host/largeLog';
import { copyOfSamples, sceneOf } from './host/scene';
import {
  comparesTwoBuilds,
  FAILED,
  judgesByUnsavedReference,
  listsTheDriftingRebuild,
  marksPointsOfRow,
  raisesAndMendsAlteredResult,
  savedRows,
  selectsRowOfPoint,
  showsBrokenToleranceAtItsKey,
} from './states';

const LARGE = 'dampers/F-009/build-1/delivery.testlog.csv';

/** The samples and beside them one log of 300 MB. */
let often = 0;
const scene = sceneOf(() =>
  copyOfSamples((folder) => {
    often = writeLargeLog(join(folder, LARGE));
  }),
);
const large = (): string => join(scene.folder, LARGE);

async function openLargeLogAsChart(): Promise<Frame> {
  const { editor } = scene;
  await editor.texts.openUnread(LARGE);
  await editor.page.waitForSelector('.monaco-editor-pane-placeholder');
  expect(await editor.page.locator('.editor-group-container .view-line').count()).toBe(0);
  await editor.shot('large-log-as-text');
  await editor.command('View: Reopen Editor With...');
  await editor.quick.choose('Damper Test Log as Chart');
  return editor.ourPage('preview');
}

describe('a log of 300 MB', () => {
  it('is not shown as text, and as a chart reaches as far as its samples', async () => {
    expect(statSync(large()).size).toBeGreaterThanOrEqual(LARGE_BYTES);
    const frame = await openLargeLogAsChart();
    expect(await frame.evaluate(() => document.querySelector('h1')?.textContent)).toContain('F-009 build 1');
    await scene.editor.shot('large-log-as-chart');
    const full = forcesBySpeed(large(), often);
    expect([...full.keys()]).toEqual([25, 50, 100, 200, 300, 400, 500, 600, 700, 800, 900, 1000]);

    // Points: between both sides of a speed lies no constant force, so that gas need not be known here.
    // The band behind the curve is drawn of the same rows.
    const rows = (await savedRows(scene, frame, 'force')).filter((row) => (row.get('state') ?? '') !== '');
    const points = [...new Map(rows.map((row) => [`${row.get('velocity')} ${row.get('force')}`, row])).values()];
    const drawn = (speed: number, sign: 1 | -1): number => {
      const found = points.filter(
        (row) =>
          Math.sign(Number(row.get('force'))) === sign && Math.abs(Number(row.get('velocity')) - speed) < 0.01 * speed,
      );
      expect(found, `points of ${speed} mm/s among ${points.map((row) => row.get('velocity')).join(' ')}`).toHaveLength(
        1,
      );
      return Number(found[0]!.get('force'));
    };
    expect(points).toHaveLength(2 * full.size);
    for (const [speed, { compression, rebound }] of full) {
      const [ours, theirs] = [drawn(speed, 1) - drawn(speed, -1), compression - rebound];
      expect(Math.abs(ours - theirs), `both sides at ${speed} mm/s`).toBeLessThan(0.005 * theirs);
    }

    // Loops: the mean of the cycles, thinned. Single samples reach beyond it by their noise, which is the largest of so many.
    const loops = await savedRows(scene, frame, 'loops');
    const steps = new Map(loops.map((row) => [row.get('step')!, Number.parseFloat(row.get('step')!)]));
    expect([...steps.values()]).toEqual([25, 400, 1000]);
    for (const [step, speed] of steps) {
      const forces = loops.filter((row) => row.get('step') === step).map((row) => Number(row.get('force')));
      const { most, least, noise } = full.get(speed)!;
      expect(Math.abs(Math.max(...forces) - most), `upper end of ${step}`).toBeLessThan(noise);
      expect(Math.abs(Math.min(...forces) - least), `lower end of ${step}`).toBeLessThan(noise);
    }
  });

  it('stays open beside the text of a result', async () => {
    const { editor } = scene;
    await editor.texts.open(FAILED);
    await editor.texts.openUnread(LARGE);
    await editor.command('View: Move Editor into Next Group');
    await editor.ourPage('preview');
    await editor.shot('large-log-beside');
  });
});

describe('with it open, and read anew, beside', () => {
  /** A row more, and the server reads all of it again while the states are looked at. */
  let count = 0;
  beforeEach(() => {
    appendRow(large(), count++);
  });

  it('Problems list the drifting rebuild, and the large one', async () => {
    await listsTheDriftingRebuild(scene);
    await scene.editor.problems.show('rebound 300 to 500');
    await scene.editor.problems.where('the drift of both', (all) =>
      ['F-002/build-2', 'F-009/build-1'].every((place) => all.some(({ file }) => file.includes(place))),
    );
  });
  it('a number edited by hand is found, and mended', () => raisesAndMendsAlteredResult(scene, 'large-log-altered'));
  it('an unsaved reference judges, and undo brings back what was', () =>
    judgesByUnsavedReference(scene, 'large-log-unsaved-reference'));
  it('a broken tolerance is shown at its key', () => showsBrokenToleranceAtItsKey(scene, 'large-log-tolerance'));
  it('row 7 marks point 7', () => marksPointsOfRow(scene, 'large-log-row-7'));
  it('point 7 selects row 7', () => selectsRowOfPoint(scene));
  it('two builds are held against each other', () => comparesTwoBuilds(scene, 'large-log-comparison'));
});
