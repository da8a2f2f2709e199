import type { Frame } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { seriousFaults } from './host/accessibility';
import { sceneOf } from './host/scene';
import { stateOf } from './host/waiting';

/** Pages in a panel of about 400 pixels beside a text, where nothing may become too small to read. */
const scene = sceneOf();
const FAILED = 'dampers/F-002/build-2/delivery.result.csv';
const SWEEP = 'dampers/F-001/build-1/sweep-HSC.result.csv';
/** Window in which half of what is left of the activity bar is a panel of that width, and one that is wide again. */
const NARROW = { width: 860, height: 950 };
const WIDE = { width: 1500, height: 950 };
const SMALLEST = 11;

beforeAll(async () => {
  const { editor } = scene;
  await editor.texts.open(FAILED);
  await editor.command('Damper Spec Review: Open Preview to the Side');
  await editor.ourPage('preview');
  await editor.command('View: Toggle Primary Side Bar Visibility');
  await editor.page.setViewportSize(NARROW);
});
afterAll(async () => {
  await scene.editor.page.setViewportSize(WIDE);
  await scene.editor.chooseTheme('Light Modern');
});

interface Seen {
  readonly panel: number;
  readonly charts: number;
  /** Texts smaller than 11 pixels on the screen. */
  readonly small: string[];
  /** Charts wider than the page, which have to be scrolled. */
  readonly wider: string[];
  /** Widest plot [px]. */
  readonly widest: number;
}

function look(frame: Frame): Promise<Seen> {
  return frame.evaluate((smallest) => {
    const small: string[] = [];
    for (const text of document.querySelectorAll('.plot svg text')) {
      const scale = text.closest('svg')!.getScreenCTM()!.a;
      const size = Number.parseFloat(getComputedStyle(text).fontSize) * scale;
      if (size < smallest) small.push(`${text.textContent} ${size}`);
    }
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walk.nextNode(); node !== null; node = walk.nextNode()) {
      const holder = node.parentElement!;
      const isSeen = (node.textContent ?? '').trim() !== '' && holder.getClientRects().length > 0;
      const size = Number.parseFloat(getComputedStyle(holder).fontSize);
      if (isSeen && holder.closest('svg, #spoken, script, style') === null && size < smallest)
        small.push(`${node.textContent} ${size}`);
    }
    const figures = [...document.querySelectorAll('figure')];
    return {
      panel: window.innerWidth,
      charts: document.querySelectorAll('figure svg').length,
      small,
      wider: figures
        .filter((figure) => figure.scrollWidth > figure.clientWidth)
        .map(({ id, scrollWidth, clientWidth }) => `${id} ${scrollWidth} in ${clientWidth}`),
      widest: Math.max(...[...document.querySelectorAll('.plot svg')].map((svg) => svg.getBoundingClientRect().width)),
    };
  }, SMALLEST);
}

/** Waits until the charts of a page are drawn for the room that it has now. */
async function drawnAnew(page: string): Promise<Frame> {
  let frame = await scene.editor.ourPage(page);
  let seen: Seen | undefined;
  await stateOf(
    `the ${page} page fitted to its panel`,
    async () => {
      frame = await scene.editor.ourPage(page);
      seen = await look(frame);
      return seen.charts > 0 && seen.wider.length === 0;
    },
    () => JSON.stringify(seen),
  );
  return frame;
}

describe('in a narrow panel', () => {
  it.each(['Light Modern', 'Dark Modern', 'Dark High Contrast', 'Light High Contrast'])(
    'the preview fits, with no text below 11 pixels, in %s',
    async (theme) => {
      const { editor } = scene;
      await editor.chooseTheme(theme);
      const frame = await drawnAnew('preview');
      const seen = await look(frame);
      expect(seen.panel).toBeGreaterThan(360);
      expect(seen.panel).toBeLessThan(440);
      expect(seen.charts).toBe(3);
      expect(seen.small).toEqual([]);
      expect(await seriousFaults(frame)).toEqual([]);
      const name = theme.replaceAll(' ', '-').toLowerCase();
      await editor.shot(`narrow-${name}`);
      await frame.locator('#force').scrollIntoViewIfNeeded();
      await frame.locator('#loops-about').scrollIntoViewIfNeeded();
      await editor.shot(`narrow-${name}-below`);
      await frame.evaluate(() => {
        window.scrollTo(0, 0);
      });
    },
  );

  it('a point is still walked to and its row marked', async () => {
    const frame = await drawnAnew('preview');
    const option = frame.locator('#force [role=option]').nth(3);
    const row = await option.getAttribute('data-row');
    await option.click();
    await stateOf('its row', async () => (await frame.evaluate(() => document.body.dataset['row'])) === row);
    // What is laid over the drawing lies on its mark: within a pixel of a symbol that the drawing has there.
    const apart = await option.evaluate((one) => {
      const { left, top, width, height } = one.getBoundingClientRect();
      const centres = [...one.closest('.plot')!.querySelectorAll('svg .mark-symbol path')].map((path) => {
        const box = path.getBoundingClientRect();
        return Math.hypot(box.left + box.width / 2 - left - width / 2, box.top + box.height / 2 - top - height / 2);
      });
      return Math.min(...centres);
    });
    expect(apart).toBeLessThan(1.5);
  });

  it('the adjusters fit too', async () => {
    const { editor } = scene;
    await editor.texts.open(SWEEP);
    await editor.command('Damper Spec Review: Show Adjusters');
    const frame = await drawnAnew('adjusters');
    expect((await look(frame)).small).toEqual([]);
    await editor.shot('narrow-adjusters');
    await editor.command('View: Close Editor');
  });

  it('a comparison of long names fits too', async () => {
    const { editor } = scene;
    await editor.texts.open(FAILED);
    await editor.command('Damper Spec Review: Compare Builds, Results or Revisions…');
    for (let side = 0; side < 2; side++) {
      await editor.quick.choose('A revision');
      await editor.quick.answer(`${FAILED}@HEAD`);
    }
    const frame = await drawnAnew('comparison');
    expect((await look(frame)).small).toEqual([]);
    await editor.shot('narrow-comparison');
    await editor.command('View: Close Editor');
  });

  it('is drawn anew when the window is made wide again', async () => {
    await scene.editor.texts.open(FAILED);
    await drawnAnew('preview');
    await scene.editor.page.setViewportSize(WIDE);
    let seen: Seen | undefined;
    await stateOf(
      'wide charts',
      async () => (seen = await look(await scene.editor.ourPage('preview'))).widest > 550,
      () => JSON.stringify(seen),
    );
    expect(seen!.small).toEqual([]);
    expect(seen!.wider).toEqual([]);
    await scene.editor.shot('wide-again');
  });
});
