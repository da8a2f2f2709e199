import type { Frame } from 'playwright-core';
import { afterAll, describe, expect, it } from 'vitest';
import { seriousFaults } from './host/accessibility';
import { sceneOf } from './host/scene';
import { stateOf } from './host/waiting';

const scene = sceneOf();
const FAILED = 'dampers/F-002/build-2/delivery.result.csv';

/** Themes that come with the editor, and the class that a page's body gets of them. */
const THEMES = [
  ['Light Modern', 'vscode-light'],
  ['Dark Modern', 'vscode-dark'],
  ['Dark High Contrast', 'vscode-high-contrast'],
  ['Light High Contrast', 'vscode-high-contrast-light'],
  ['Solarized Light', 'vscode-light'],
] as const;

interface Stroke {
  readonly colour: string;
  readonly contrast: number;
}

/** Contrast with the page of every line and symbol that the charts draw, as WCAG 2.2 defines it, by colours as the browser computed them. */
function strokesOf(frame: Frame): Promise<Stroke[]> {
  return frame.evaluate(() => {
    const parse = (text: string): number[] | undefined => {
      const found = /rgba?\(([\d.]+), ([\d.]+), ([\d.]+)(?:, ([\d.]+))?\)/.exec(text);
      return found === null || found[4] === '0' ? undefined : found.slice(1, 4).map(Number);
    };
    const luminance = (rgb: number[]): number => {
      const [r, g, b] = rgb.map((part) =>
        part / 255 <= 0.04045 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4,
      );
      return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
    };
    const paper = parse(getComputedStyle(document.body).backgroundColor) ?? [255, 255, 255];
    const lines = document.querySelectorAll(
      '.plot svg .mark-line path, .plot svg .mark-rule line, .plot svg .mark-symbol path, .plot svg .mark-trail path',
    );
    const found = new Map<string, number>();
    for (const line of lines) {
      if (line.closest('.role-axis-grid') !== null) continue; // decoration
      const style = getComputedStyle(line);
      const colour = parse(style.stroke) === undefined ? style.fill : style.stroke;
      const rgb = parse(colour);
      if (rgb === undefined) continue;
      const [light, dark] = [luminance(rgb), luminance(paper)].sort((a, b) => b - a);
      found.set(colour, (light! + 0.05) / (dark! + 0.05));
    }
    return [...found].map(([colour, contrast]) => ({ colour, contrast }));
  });
}

describe('themes', () => {
  afterAll(() => scene.editor.chooseTheme('Light Modern'));

  it.each(THEMES)('%s: every line has 3:1 or more, and axe finds no serious fault', async (theme, bodyClass) => {
    const { editor } = scene;
    if (!(await editor.texts.hasTab('Preview: '))) {
      await editor.texts.open(FAILED);
      await editor.command('Damper Spec Review: Open Preview to the Side');
    }
    await editor.chooseTheme(theme);
    const frame = await editor.ourPage('preview');
    await stateOf(`the class of ${theme}`, () =>
      frame.evaluate(([name]) => document.body.classList.contains(name), [bodyClass] as const),
    );
    await editor.shot(`theme-${theme.replaceAll(' ', '-').toLowerCase()}`);
    const strokes = await strokesOf(frame);
    expect(strokes.length).toBeGreaterThanOrEqual(3);
    expect(strokes.filter(({ contrast }) => contrast < 3)).toEqual([]);
    expect(await seriousFaults(frame)).toEqual([]);
  });
});
