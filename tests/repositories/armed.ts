import { appendFileSync, chmodSync, existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ScriptedGit } from './scriptedGit';

/** Where an armed repository leaves its mark if anything of it runs. */
export function markerOf(folder: string): string {
  return join(folder, '.git', 'something-ran');
}

/** Names a program in every place of the repository's own configuration that git may start one from. */
export function arm(folder: string): void {
  const git = new ScriptedGit(folder);
  const program = join(folder, '.git', 'mark.sh');
  writeFileSync(program, `#!/bin/sh\necho "$0 $@" >> '${markerOf(folder)}'\ncat\n`);
  chmodSync(program, 0o755);
  const settings = {
    'core.fsmonitor': program,
    'core.hooksPath': join(folder, '.git', 'armed-hooks'),
    'core.sshCommand': program,
    'core.pager': program,
    'core.editor': program,
    'core.gitProxy': program,
    'core.alternateRefsCommand': program,
    'core.askPass': program,
    'credential.helper': `!${program}`,
    'diff.external': program,
    'diff.armed.textconv': program,
    'diff.armed.command': program,
    'filter.armed.clean': program,
    'filter.armed.smudge': program,
    'filter.armed.process': program,
    'uploadpack.packObjectsHook': program,
    'gpg.program': program,
    'log.showSignature': 'true',
    'alias.rev-parse': `!${program}`,
    'alias.ls-tree': `!${program}`,
    'pager.ls-tree': program,
    'alias.ls-files': `!${program}`,
    'pager.ls-files': program,
    'pager.rev-list': program,
    'pager.diff-tree': program,
    'pager.diff-index': program,
    'remote.origin.uploadpack': program,
    'include.path': 'included',
    'includeIf.gitdir:/**.path': 'included',
  };
  writeFileSync(
    join(folder, '.git', 'included'),
    `[core]\n\tfsmonitor = ${program}\n\tpager = ${program}\n[alias]\n\tdiff-tree = "!${program}"\n[diff]\n\texternal = ${program}\n`,
  );
  for (const [key, value] of Object.entries(settings)) git.git('config', key, value);
  mkdirSync(join(folder, '.git', 'info'), { recursive: true });
  appendFileSync(join(folder, '.git', 'info', 'attributes'), '* diff=armed filter=armed text\n');
  const hooks = join(folder, '.git', 'armed-hooks');
  mkdirSync(hooks, { recursive: true });
  for (const name of [
    'post-checkout',
    'pre-commit',
    'reference-transaction',
    'post-index-change',
    'fsmonitor-watchman',
  ]) {
    writeFileSync(join(hooks, name), `#!/bin/sh\necho "hook ${name}" >> '${markerOf(folder)}'\n`);
    chmodSync(join(hooks, name), 0o755);
  }
}

export function somethingRan(folder: string): boolean {
  return existsSync(markerOf(folder));
}
