import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, it } from 'vitest';
import type { ListedProblem } from './host/problemsView';
import { lineOf, sceneOf } from './host/scene';
import { ServerTrace, type Message } from './host/serverTrace';
import { stateOf } from './host/waiting';

/** Many edits in a row, with the messages that pass between client and server, and what the Problems view shows of them. */
const scene = sceneOf();
const PASSED = 'dampers/F-002/build-1/delivery.result.csv';
const START = '6,4,6,400,';
const EDITS = 50;
/** [ms] Two thirds of the quiet time after which the server reviews (`Tuning` in src/server/server.ts): what is typed closer is one row of edits for it. */
const CLOSE_TOGETHER = 80;
/** [ms] Longer before each further row: what a machine was busy with may end. */
const COOLING = 500;

let trace: ServerTrace;
let digitsOfNumber = 0;
beforeAll(async () => {
  await scene.editor.texts.open(PASSED);
  await scene.editor.problems.show('drift-from-reference');
  await scene.editor.problems.where('the first review', (all) => all.length > 0);
  await scene.editor.problems.show('result-altered');
  trace = await ServerTrace.begin(scene.editor, scene.folder);
  digitsOfNumber = new RegExp(`^${START}(\\d+)`, 'm').exec(readFileSync(join(scene.folder, PASSED), 'utf8'))![1]!
    .length;
});

interface Published {
  readonly uri: string;
  readonly diagnostics: readonly { readonly message: string }[];
}
const isOfFile = ({ params }: Message): boolean => JSON.stringify(params).includes(PASSED);
const changesIn = (messages: readonly Message[]): Message[] =>
  messages.filter((one) => one.method === 'textDocument/didChange' && isOfFile(one));
const publishedIn = (messages: readonly Message[]): Published[] =>
  messages
    .filter(({ method }) => method === 'textDocument/publishDiagnostics')
    .map(({ params }) => params as Published);
/** How many digits were typed in the text that a set was made of: the finding quotes its line, where they stand before the number. */
const digitsOf = ({ diagnostics }: Published): number =>
  Math.max(0, ...diagnostics.map(({ message }) => typedIn(message) ?? 0));
const typedIn = (text: string): number | undefined => {
  const digits = new RegExp(`reads "${START}(\\d+)`).exec(text)?.[1]?.length;
  return digits === undefined ? undefined : digits - digitsOfNumber;
};
const lengthOf = (digits: number): string => Array.from({ length: digits }, (_, i) => String((i % 9) + 1)).join('');
const quotes =
  (typed: string) =>
  ({ file, text }: ListedProblem): boolean =>
    file.endsWith(PASSED) && text.includes(`reads "${START}${typed}`);

/**
 * Types so many digits behind the start of the row, `pause` called after each, waits until the last text is judged, and takes it all back. Gives the
 * messages from the first of the edits to the revert. The log is written a little late: what the revert gives stands behind everything before it.
 */
async function typeDigits(count: number, pause: (edit: number) => Promise<void>): Promise<readonly Message[]> {
  const { editor } = scene;
  await editor.texts.goToLine(lineOf(scene.folder, PASSED, new RegExp(`^${START}`)), START);
  const before = trace.messages().length;
  const typed = lengthOf(count);
  for (let edit = 0; edit < count; edit++) {
    await editor.page.keyboard.press(typed[edit]!);
    await pause(edit);
  }
  const isOfLast = quotes(typed);
  await editor.problems.settled('one, of the last text', (all) => all.filter(isOfLast).length === 1);
  await editor.shot(`problems-after-${count}-edits`);
  await editor.command('File: Revert File');
  await editor.problems.settled('none as it was saved', (all) => !all.some(({ file }) => file.endsWith(PASSED)));
  const since = (): readonly Message[] => trace.messages().slice(before);
  const ofFile = (messages: readonly Message[]): Published[] =>
    publishedIn(messages).filter(({ uri }) => uri.endsWith(PASSED));
  await stateOf('the revert in the log', () => {
    const last = ofFile(since()).at(-1);
    return last !== undefined && digitsOf(last) === 0;
  });
  const messages = since();
  const revert = changesIn(messages).at(-1)!;
  return messages.slice(0, messages.indexOf(revert));
}

describe('50 edits in a row', () => {
  it('within the quiet time of the server give one published set, of the last text', async () => {
    let messages: readonly Message[];
    // A machine that is busy elsewhere may type slowly: then it was not such a row, and it is typed again.
    for (let tries = 0; ; tries++) {
      expect(tries, `no row of edits was closer together than ${CLOSE_TOGETHER} ms`).toBeLessThan(8);
      await scene.editor.page.waitForTimeout(tries * COOLING);
      messages = await typeDigits(EDITS, () => Promise.resolve());
      const times = changesIn(messages).map(({ at }) => at);
      if (times.slice(1).every((at, i) => at - times[i]! <= CLOSE_TOGETHER)) break;
    }
    expect(changesIn(messages)).toHaveLength(EDITS);
    const sets = publishedIn(messages);
    expect(sets.filter(({ uri }) => uri.endsWith(PASSED)).map(digitsOf)).toEqual([EDITS]);
    // Nor does any other file of the repository get a second set.
    expect(sets.map(({ uri }) => uri)).toEqual([...new Set(sets.map(({ uri }) => uri))]);
    expect(messages.filter(({ method }) => method === 'damperReview/changed')).toHaveLength(1);
  });

  it('with rests between them give sets in the order of the texts, in messages and on the screen', async () => {
    const { editor } = scene;
    const shown = await readingsShown(editor.page);
    // After every tenth edit the set of that text is waited for, so that there are sets to come in the wrong order.
    const messages = await typeDigits(EDITS, async (edit) => {
      if (edit % 10 === 9 && edit + 1 < EDITS)
        await editor.problems.where('a set between', (all) => all.some(quotes(lengthOf(edit + 1))));
    });
    const digits = publishedIn(messages)
      .filter(({ uri }) => uri.endsWith(PASSED))
      .map(digitsOf);
    expect(digits).toEqual([...digits].sort((a, b) => a - b));
    expect(digits).toEqual(expect.arrayContaining([10, 20, 30, 40, EDITS]));
    const readings = (await shown()).map((text) => typedIn(text));
    expect(readings).toEqual([...readings].sort((a, b) => (a ?? 0) - (b ?? 0)));
    expect(readings.at(-1)).toBe(EDITS);
  });
});

/** Watches the Problems view from now on; gives what it quoted of the row, in the order in which the view showed it. */
async function readingsShown(page: Page): Promise<() => Promise<string[]>> {
  await page.evaluate((start) => {
    const seen: string[] = [];
    Object.assign(window, { seenReadings: seen });
    const look = (): void => {
      const text = document.querySelector('.markers-panel')?.textContent ?? '';
      const reading = new RegExp(`reads "${start}\\d+`).exec(text)?.[0];
      if (reading !== undefined && reading !== seen.at(-1)) seen.push(reading);
    };
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, characterData: true });
  }, START);
  return () => page.evaluate(() => (window as unknown as { seenReadings: string[] }).seenReadings);
}
