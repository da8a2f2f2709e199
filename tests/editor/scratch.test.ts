import { expect, it } from 'vitest';
import { sceneOf } from './host/scene';
const scene = sceneOf();
it('explores', async () => {
  const { editor } = scene;
  await editor.showProblems();
  const log: string[] = [];
  const t0 = Date.now();
  const p = await editor
    .problemsWhere('problems', (l) => l.length > 2)
    .catch((e: unknown) => {
      log.push(String(e));
      return [];
    });
  console.log(Date.now() - t0, log, JSON.stringify(p, null, 1));
  await editor.shot('scratch-1');
  await editor.openFile('dampers/F-002/build-2/delivery.result.csv', 21);
  await editor.shot('scratch-2');
  await editor.command('Damper Spec Review: Open Preview to the Side');
  const frame = await editor.ourPage('preview').catch((e: unknown) => {
    console.log(String(e));
    return undefined;
  });
  await editor.shot('scratch-3');
  console.log(await editor.statusTexts());
  console.log(
    frame === undefined
      ? editor.page.frames().map((f) => f.url())
      : await frame.evaluate(() => document.body.innerText),
  );
  console.log(
    editor.console
      .filter((l) => !/gallery|extensionsGallery/.test(l))
      .slice(-40)
      .join('\n'),
  );
  expect(1).toBe(1);
});
