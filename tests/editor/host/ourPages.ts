import type { Frame, Page } from 'playwright-core';
import { stateOf } from './waiting';

/** The frame on the screen that holds one of our pages, once the page shows a view. @param shown attribute of its body that is waited for */
export async function ourPage(window: Page, name: string, shown = '[data-shown]'): Promise<Frame> {
  let found: Frame | undefined;
  await stateOf(`the ${name} page`, async () => {
    for (const frame of window.frames()) {
      if (!frame.url().includes('fake.html') && !frame.url().includes('vscode-webview') && frame.parentFrame() === null)
        continue;
      const fits = await frame
        .evaluate(([page, state]) => document.querySelector(`body[data-page="${page}"]${state}`) !== null, [
          name,
          shown,
        ] as const)
        .catch(() => false);
      if (fits && (await isVisible(frame).catch(() => false))) {
        found = frame;
        return true;
      }
    }
    return false;
  });
  return found!;
}

/** Whether a webview's frame is on the screen; hidden ones keep their frames for a while. Fails where it is gone meanwhile. */
async function isVisible(frame: Frame): Promise<boolean> {
  let element = await frame.frameElement();
  for (let at: Frame | null = frame; at?.parentFrame() != null; at = at.parentFrame()) {
    element = await at.frameElement();
    if (!(await element.isVisible())) return false;
  }
  return element.isVisible();
}
