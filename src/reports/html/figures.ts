import { propertyTheme } from '../../charts/theme';
import type { Setting } from '../../files/spec';
import type { JudgedResult } from '../../review/judgedResult';
import type { ChartSpec } from '../../charts/chartSpec';
import { driftDrawing, forceDrawing, loopDrawing, type Drawing } from '../pageFigures';
import { renderSvg } from '../svg';
import { markup, SafeHtml } from './safeHtml';

/** Width in pixels: printed on A4 it comes to the width of the sheet. */
const LOOK = { theme: propertyTheme(), width: 590 };

/** A drawing with its caption. `id` is the page's own; nothing where there is nothing to draw. */
export async function figure(
  spec: ChartSpec | undefined,
  id: string,
  title: string,
  caption: string,
): Promise<SafeHtml | undefined> {
  if (spec === undefined) return undefined;
  const svg = await renderSvg(spec, {
    id,
    title,
    description: `${caption} The numbers stand in the tables of this page.`,
  });
  return markup`<figure>
    ${SafeHtml.ofOwnMarkup(svg)}
    <figcaption>${caption}</figcaption>
  </figure>`;
}

export function drawn(drawing: Drawing | undefined, id: string): Promise<SafeHtml | undefined> {
  return figure(drawing?.spec, id, drawing?.title ?? '', drawing?.caption ?? '');
}

export function driftFigure(result: JudgedResult, id: string, severalSettings: boolean): Promise<SafeHtml | undefined> {
  return drawn(driftDrawing(result, { ...LOOK, others: severalSettings }), id);
}

export function forceFigure(result: JudgedResult, id: string, others: boolean): Promise<SafeHtml | undefined> {
  return drawn(forceDrawing(result, { ...LOOK, others }), id);
}

/** Loops of one setting: its slowest, middle and fastest step. */
export function loopFigure(result: JudgedResult, setting: Setting, id: string): Promise<SafeHtml | undefined> {
  return drawn(loopDrawing(result, setting, LOOK), id);
}
