import { afterEach, describe, expect, it } from 'vitest';
import { LOGS, REFERENCES, resultOf, SPECS, specText } from '../session/workshop';
import { StartedServer, type ServerSetup } from './startedServer';

let server: StartedServer;
async function start(setup: ServerSetup = {}): Promise<StartedServer> {
  server = await StartedServer.start(setup);
  return server;
}
afterEach(() => server.stop());

const SOFT = resultOf(LOGS.two);

describe('diagnostics', () => {
  it('judges files that are not open: one entry a side and band, at its worst row, the other rows beside it', async () => {
    await start();
    const [drift, ...rest] = server.diagnostics(SOFT).filter(({ code }) => code === 'drift-from-reference');
    expect(rest).toEqual([]);
    expect(drift).toMatchObject({
      severity: 1,
      source: 'damper review',
      codeDescription: { href: 'https://pages.invalid/rules/drift-from-reference.md' },
    });
    expect(drift!.message).toMatch(/F-002 build 1: rebound 100 to 300 mm\/s is \d+ % of tolerance, softer/);
    expect(drift!.relatedInformation).toHaveLength(2);
    const row = (await server.text(SOFT)).split('\n')[drift!.range.start.line]!;
    expect(row).toMatch(/^4,(100|200|300),/);
    expect(server.published).toBe(1);
  });

  it('marks the rows of a band in an open file alone, and faintly', async () => {
    await start();
    const faint = () => server.diagnostics(SOFT).filter(({ severity }) => severity === 4);
    expect(faint()).toHaveLength(0);
    await server.open(SOFT);
    await expect.poll(() => faint().length).toBe(2);
    const lines = (await server.text(SOFT)).split('\n');
    for (const { range } of faint()) {
      const cell = lines[range.start.line]!.slice(range.start.character, range.end.character);
      expect(cell).toMatch(/^-\d+\.\d$/);
    }
    await server.close(SOFT);
    await expect.poll(() => faint().length).toBe(0);
  });

  it('shows an undecided result as information', async () => {
    await start();
    await server.settledAfter(() => server.write(REFERENCES.front, null));
    const missing = server.diagnostics(SOFT).filter(({ code }) => code === 'reference-missing');
    expect(missing.map(({ severity }) => severity)).toEqual([3]);
  });

  it('shows a broken tolerance at its key', async () => {
    await start();
    const text = specText('alder-front').replace('rebound: { relative: 5 %', 'rebound: { relative: 5 parts');
    await server.open(SPECS.front);
    await server.settledAfter(() => server.type(SPECS.front, text));
    const [fault] = server.diagnostics(SPECS.front);
    expect(fault).toMatchObject({ severity: 1, code: 'unit-mismatch' });
    const line = text.split('\n')[fault!.range.start.line]!;
    expect(line.slice(fault!.range.start.character)).toMatch(/^(relative|5 parts)/);
  });

  it('judges again what rests on an unsaved reference, and undo brings it back', async () => {
    await start();
    const before = server.listed(resultOf(LOGS.one));
    const stored = await server.text(REFERENCES.front);
    await server.open(REFERENCES.front);
    const changed = stored.replace(
      /^(4,300,\d+\.\d),(-?\d+)/m,
      (_, start: string, force: string) => `${start},${Number(force) - 300}`,
    );
    expect(changed).not.toBe(stored);
    await server.settledAfter(() => server.type(REFERENCES.front, changed));
    expect(server.listed(resultOf(LOGS.one)).join()).toContain('drift-from-reference');
    await server.settledAfter(() => server.type(REFERENCES.front, stored));
    expect(server.listed(resultOf(LOGS.one))).toEqual(before);
  });

  it('lets an unsaved text go when its document is closed', async () => {
    await start();
    const before = server.listed(SOFT);
    await server.settledAfter(() => server.open(SPECS.front, specText('alder-front', '90 %')));
    expect(server.listed(SOFT).join()).not.toContain('drift-from-reference');
    await server.settledAfter(() => server.close(SPECS.front));
    expect(server.listed(SOFT)).toEqual(before);
  });

  it('publishes one set for 50 edits in a row, and it is that of the last one', async () => {
    await start({ quiet: 500 });
    await server.open(SPECS.front);
    const next = server.nextSet();
    for (let edit = 1; edit <= 50; edit++) await server.type(SPECS.front, specText('alder-front', `${edit + 40} %`));
    await next;
    await new Promise((resolve) => setTimeout(resolve, 700));
    expect(server.published).toBe(2);
    expect(server.listed(SOFT).join()).not.toContain('drift-from-reference');
  });

  it('never publishes an older state after a newer one, however slow the disk is', async () => {
    await start();
    await server.open(SPECS.front);
    const sets: string[] = [];
    server.client.onNotification(
      'textDocument/publishDiagnostics',
      ({ uri, diagnostics }: { uri: string; diagnostics: unknown[] }) => {
        if (uri.endsWith(SPECS.front)) sets.push(String(diagnostics.length));
      },
    );
    const rounds = 12;
    for (let edit = 1; edit <= rounds; edit++) {
      const broken = edit % 2 === 1;
      await server.type(SPECS.front, broken ? `${specText('alder-front')}colour: red\n` : specText('alder-front'));
      await new Promise((resolve) => setTimeout(resolve, edit * 3));
    }
    await expect.poll(() => sets.at(-1) ?? '0').toBe('0');
    await new Promise((resolve) => setTimeout(resolve, 100));
    expect(sets.at(-1) ?? '0').toBe('0');
  });

  it('keeps hostile text from files plain', async () => {
    await start();
    const hostile = specText('alder-front').replace('id: alder-front', 'id: "alder\\u202e-front<script>"');
    await server.settledAfter(() => server.write(SPECS.front, hostile));
    const messages = [...server.shown.values()]
      .flat()
      .map(({ message }) => (typeof message === 'string' ? message : message.value));
    expect(messages.length).toBeGreaterThan(0);
    expect(messages.join('')).not.toMatch(/[^\P{C}\n]/u);
  });
});
