import { execFileSync } from 'node:child_process';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** A clean environment: no configuration of the machine or the user, fixed names, and a clock that the script moves. */
const ENVIRONMENT = {
  PATH: process.env['PATH'],
  HOME: '/nonexistent',
  GIT_CONFIG_NOSYSTEM: '1',
  GIT_CONFIG_GLOBAL: '/dev/null',
  GIT_AUTHOR_NAME: 'Workshop',
  GIT_AUTHOR_EMAIL: 'workshop@invalid',
  GIT_COMMITTER_NAME: 'Workshop',
  GIT_COMMITTER_EMAIL: 'workshop@invalid',
};

/** A git repository that a test scripts commit by commit; the same script gives the same hashes. */
export class ScriptedGit {
  readonly folder: string;
  #time: string;

  /** @param start ISO date of the first commit */
  constructor(folder: string, start = '2026-02-01T08:00:00Z') {
    this.folder = folder;
    this.#time = start;
  }

  init(): this {
    mkdirSync(this.folder, { recursive: true });
    this.git('init', '-q', '-b', 'main');
    return this;
  }

  git(...args: readonly string[]): string {
    const time = { GIT_AUTHOR_DATE: this.#time, GIT_COMMITTER_DATE: this.#time };
    return execFileSync('git', args, {
      cwd: this.folder,
      env: { ...ENVIRONMENT, ...time },
      encoding: 'utf8',
      stdio: ['ignore', 'pipe', 'pipe'],
    }).trim();
  }

  /** The day of the commits that follow. */
  on(day: string): this {
    this.#time = day.includes('T') ? day : `${day}T12:00:00Z`;
    return this;
  }

  /** Writes files; null removes one. */
  put(files: Readonly<Record<string, string | Uint8Array | null>>): this {
    for (const [path, content] of Object.entries(files)) {
      const target = join(this.folder, path);
      if (content === null) rmSync(target, { force: true });
      else {
        mkdirSync(dirname(target), { recursive: true });
        writeFileSync(target, content);
      }
    }
    return this;
  }

  /** Commits everything as it stands. */
  commit(message: string, files: Readonly<Record<string, string | Uint8Array | null>> = {}): string {
    this.put(files);
    this.git('add', '-A');
    this.git('commit', '-q', '--allow-empty', '-m', message);
    return this.git('rev-parse', 'HEAD');
  }

  branch(name: string, from = 'main'): this {
    this.git('checkout', '-q', '-b', name, from);
    return this;
  }

  checkout(name: string): this {
    this.git('checkout', '-q', name);
    return this;
  }

  merge(name: string): string {
    this.git('merge', '-q', '--no-ff', '-m', `Merge ${name}`, name);
    return this.git('rev-parse', 'HEAD');
  }
}
