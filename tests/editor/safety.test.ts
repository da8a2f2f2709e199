import { execFileSync } from 'node:child_process';
import { chmodSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Frame } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { copyOfSamples, sceneOf } from './host/scene';
import { stateOf } from './host/waiting';

const RESULT = 'dampers/F-002/build-2/delivery.result.csv';
const REFUSED = 'dampers/F-003/build-1/delivery.result.csv';
/** Markup is refused where a serial is read; what is left must stay text in attributes, in markdown, among icons and in commands. */
const HOSTILE = 'F-2" onmouseover="document.body.dataset.owned=1" [x](command:workbench.action.quit) $(bug)';
const MARKUP = '<img src=x onerror=document.body.dataset.owned=1>';

/** A repository whose serial is markup, and whose git configuration would run a program at every turn. */
const scene = sceneOf(() =>
  copyOfSamples((folder) => {
    const path = join(folder, RESULT);
    writeFileSync(
      path,
      readFileSync(path, 'utf8').replace('# serial: F-002', () => `# serial: '${HOSTILE}'`),
    );
    const other = join(folder, REFUSED);
    writeFileSync(
      other,
      readFileSync(other, 'utf8').replace('# serial: F-003', () => `# serial: '${MARKUP}'`),
    );
    arm(folder);
    // The editor's own git would spring the trap when it shows what changed; what is tested here is ours.
    mkdirSync(join(folder, '.vscode'));
    writeFileSync(join(folder, '.vscode/settings.json'), JSON.stringify({ 'git.enabled': false }));
  }),
);

function arm(folder: string): void {
  const trap = join(folder, '.git', 'trap.sh');
  writeFileSync(trap, `#!/bin/sh\ntouch '${folder}/.git/sprung'\ncat\n`);
  chmodSync(trap, 0o755);
  const armed = [
    '[diff "trap"]',
    `\ttextconv = ${trap}`,
    `\tcommand = ${trap}`,
    '[filter "trap"]',
    `\tsmudge = ${trap}`,
    '',
  ];
  writeFileSync(join(folder, '.git/config'), readFileSync(join(folder, '.git/config'), 'utf8') + armed.join('\n'));
  writeFileSync(join(folder, '.git/info/attributes'), '*.csv diff=trap filter=trap\n');
}

async function preview(): Promise<Frame> {
  const { editor } = scene;
  await editor.texts.open(RESULT);
  if (!(await editor.texts.hasTab('Preview: '))) await editor.command('Damper Spec Review: Open Preview to the Side');
  return editor.ourPage('preview');
}

describe('a page', () => {
  it('shows a hostile serial as text, and refuses one with markup where it stands', async () => {
    const { editor } = scene;
    const frame = await preview();
    expect(await frame.evaluate(() => document.querySelector('h1')?.textContent)).toContain(HOSTILE);
    expect(await frame.$$eval('main img, main script, main [onmouseover], main a', (found) => found.length)).toBe(0);
    await stateOf('the verdict in the status area', async () =>
      (await editor.statusTexts()).some((text) => text.includes('onmouseover')),
    );
    expect(await editor.page.locator('.statusbar-item .codicon-bug').count()).toBe(0);
    await editor.shot('hostile-serial');
    await editor.problems.show('file-invalid');
    await editor.problems.where('the serial with markup', (all) =>
      all.some(({ file, text }) => file.endsWith(REFUSED) && text.includes("'<' or '>'")),
    );
    expect(await frame.evaluate(() => document.body.dataset['owned'])).toBeUndefined();
    expect(await editor.page.evaluate(() => document.body.dataset['owned'])).toBeUndefined();
  });

  it('has a policy without unsafe-eval and without inline script, and draws within it', async () => {
    const { editor } = scene;
    const frame = await preview();
    const policy = await frame.$eval(
      'meta[http-equiv="Content-Security-Policy"]',
      (meta) => meta.getAttribute('content') ?? '',
    );
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toMatch(/unsafe-eval|unsafe-inline/);
    expect(
      editor.console.filter((line) => /Content Security Policy/i.test(line) && /page\.(js|css)/.test(line)),
    ).toEqual([]);
    expect(await frame.$$eval('#notice p', (all) => all.map((one) => one.textContent))).toEqual([]);
  });

  it('holds its own script to that policy: no code from text, no inline script or handler, no connection', async () => {
    const frame = await preview();
    const outcome = await frame.evaluate(async () => {
      const stopped: string[] = [];
      document.addEventListener('securitypolicyviolation', ({ violatedDirective, blockedURI }) => {
        stopped.push(`${violatedDirective} ${blockedURI.slice(0, 5)}`);
      });
      // Playwright evaluates past the policy. So a script with the page's nonce, which the policy lets run, tries it in a task of its own.
      const own = document.createElement('script');
      own.nonce = document.querySelector<HTMLScriptElement>('script[nonce]')?.nonce ?? '';
      own.textContent = `setTimeout(() => {
        const tried = [() => eval('1 + 1'), () => new Function('return 2')(), () => setTimeout('document.body.dataset.timed = "ran"', 0)];
        document.body.dataset.tried = tried.slice(0, 2).map((attempt) => {
          try { return 'ran: ' + attempt(); } catch (error) { return error.name; }
        }).join(' ');
        try { tried[2](); } catch { }
      }, 0)`;
      document.body.append(own);
      const inline = document.createElement('script');
      inline.textContent = 'document.body.dataset.inline = "ran"';
      document.body.append(inline);
      const handler = document.createElement('button');
      handler.setAttribute('onclick', 'document.body.dataset.handler = "ran"');
      document.body.append(handler);
      handler.click();
      const external = document.createElement('script');
      external.src = URL.createObjectURL(new Blob(['document.body.dataset.blob = "ran"']));
      document.body.append(external);
      const reached = await fetch('https://localhost/').then(
        () => 'reached',
        () => 'stopped',
      );
      for (let turns = 0; turns < 300 && stopped.length < 7; turns++) await new Promise(requestAnimationFrame);
      for (const added of [own, inline, handler, external]) added.remove();
      const { tried, timed, inline: ran, handler: handled, blob } = document.body.dataset;
      return { tried, ran: { timed, ran, handled, blob }, reached, stopped: stopped.sort() };
    });
    expect(outcome).toMatchObject({ tried: 'EvalError EvalError', reached: 'stopped' });
    expect(Object.values(outcome.ran)).toEqual([undefined, undefined, undefined, undefined]);
    expect(outcome.stopped).toEqual([
      'connect-src https',
      'script-src eval',
      'script-src eval',
      'script-src eval',
      'script-src-attr inlin',
      'script-src-elem blob',
      'script-src-elem inlin',
    ]);
  });

  it('refuses a message that does not fit, says so, and keeps what it shows', async () => {
    const frame = await preview();
    const before = await frame.evaluate(() => document.querySelector('h1')?.textContent);
    await frame.evaluate(() => {
      window.postMessage({ kind: 'show', view: { page: 'preview', title: 'forged' } }, '*');
    });
    await stateOf('the refusal', async () => /refused/.test((await frame.locator('#notice').textContent()) ?? ''));
    expect(await frame.evaluate(() => document.querySelector('h1')?.textContent)).toBe(before);
    await scene.editor.showOutput();
    await stateOf('the refusal in the output', async () =>
      (await scene.editor.outputText()).includes('refused a message'),
    );
    await scene.editor.shot('refused-message');
  });
});

it('runs nothing that the repository configures, not even to compare revisions', async () => {
  const { editor } = scene;
  await editor.command('Damper Spec Review: Compare Builds, Results or Revisions…');
  for (const target of ['HEAD', undefined]) {
    if (target === undefined) await editor.quick.choose('F-001', 'build 1');
    else {
      await editor.quick.choose('A revision');
      await editor.quick.answer(`${RESULT}@${target}`);
    }
  }
  const frame = await editor.ourPage('comparison');
  expect(await frame.$$eval('figure svg', (charts) => charts.length)).toBeGreaterThanOrEqual(1);
  const sprung = join(scene.folder, '.git/sprung');
  expect(existsSync(sprung)).toBe(false);
  // The trap is a live one: git as it comes springs it.
  execFileSync('git', ['show', '--textconv', `HEAD:${RESULT}`], { cwd: scene.folder, stdio: 'ignore' });
  expect(existsSync(sprung)).toBe(true);
  rmSync(sprung);
});
