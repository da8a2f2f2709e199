import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Frame } from 'playwright-core';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/**
 * Serious and critical faults that axe-core finds in a page, with the markup of the first places. Playwright's evaluate goes past the
 * page's policy, so that axe can run where the page itself may run nothing foreign.
 */
export async function seriousFaults(frame: Frame): Promise<string[]> {
  return frame.evaluate(async (script) => {
    window.eval(script);
    interface Tool {
      run(
        context: unknown,
        options: unknown,
      ): Promise<{ violations: { id: string; impact: string; nodes: { html: string }[] }[] }>;
    }
    const { violations } = await (window as unknown as { axe: Tool }).axe.run(document, {
      resultTypes: ['violations'],
    });
    return violations
      .filter(({ impact }) => impact === 'serious' || impact === 'critical')
      .map(
        ({ id, nodes }) =>
          `${id}: ${nodes
            .slice(0, 3)
            .map(({ html }) => html.slice(0, 160))
            .join(' | ')}`,
      );
  }, AXE);
}
