import { spawn, type ChildProcessByStdio, type ChildProcessWithoutNullStreams } from 'node:child_process';
import { accessSync, constants, statSync } from 'node:fs';
import { delimiter, isAbsolute, join } from 'node:path';
import type { Readable, Writable } from 'node:stream';
import { RevisionFault } from '../../ports/revisions';

/** All that is ever asked of git: plumbing that reads objects, names and lists of files, and starts nothing that a repository may configure. `config` writes the one key of `git-diff --install`. */
export type GitCommandName =
  'rev-parse' | 'rev-list' | 'merge-base' | 'ls-files' | 'ls-tree' | 'diff-index' | 'diff-tree' | 'cat-file' | 'config';

/**
 * A repository's own configuration may name programs (file system monitor, filters, textconv, hooks, ssh). The commands above use none of
 * them but the monitor; what is set here turns that one off and keeps a partial clone from fetching what it lacks. Names that differ by case
 * alone are told apart, whatever system wrote the configuration.
 */
const SAFE_OPTIONS = [
  '--no-pager',
  '--no-replace-objects',
  '--literal-pathspecs',
  '-c',
  'core.fsmonitor=false',
  '-c',
  'core.ignoreCase=false',
  '-c',
  'safe.bareRepository=explicit',
];
const SAFE_ENVIRONMENT = {
  GIT_ALLOW_PROTOCOL: 'none',
  GIT_NO_LAZY_FETCH: '1',
  GIT_OPTIONAL_LOCKS: '0',
  GIT_TERMINAL_PROMPT: '0',
  LC_ALL: 'C',
};

export interface GitAnswer {
  readonly status: number | null;
  readonly out: Buffer;
  readonly err: string;
}

/** What a command wrote, without the line end at its end. */
export function textOf(answer: GitAnswer): string {
  return answer.out.toString('utf8').replace(/\n$/u, '');
}

export function linesOf(answer: GitAnswer): readonly string[] {
  return textOf(answer)
    .split('\n')
    .filter((line) => line !== '');
}

/** Starts git in one folder. Nothing of it goes through a shell. */
export class GitCommand {
  readonly #folder: string;
  readonly #program: string;
  #environment: NodeJS.ProcessEnv | undefined;

  /** @param program absolute path of git; without it the first one of PATH, never one of the repository's own folder. @throws RevisionFault */
  constructor(folder: string, program: string = findGit(process.env['PATH'] ?? '')) {
    this.#folder = folder;
    this.#program = program;
  }

  /** Runs a command to its end. @param input what it reads on its standard input; one that comes later finds the command started */
  run(name: GitCommandName, args: readonly string[], input: string | Promise<string> = ''): Promise<GitAnswer> {
    return new Promise((resolve, reject) => {
      const child = input === '' ? this.#startAlone(name, args) : this.start(name, args);
      const out: Buffer[] = [];
      const err: Buffer[] = [];
      if (child.stdin !== null) feed(child.stdin, input, reject);
      child.stdout.on('data', (data: Buffer) => out.push(data));
      child.stderr.on('data', (data: Buffer) => err.push(data));
      child.on('error', reject);
      child.on('close', (status) => {
        resolve({ status, out: Buffer.concat(out), err: Buffer.concat(err).toString('utf8').trim() });
      });
    });
  }

  /** Starts a command that is talked to. */
  start(name: GitCommandName, args: readonly string[]): ChildProcessWithoutNullStreams {
    return spawn(this.#program, [...SAFE_OPTIONS, name, ...args], { ...this.#options(), stdio: 'pipe' });
  }

  /** Starts a command that is told nothing more: a pipe that carries nothing takes 0.3 ms to make. */
  #startAlone(name: GitCommandName, args: readonly string[]): ChildProcessByStdio<null, Readable, Readable> {
    const stdio: ['ignore', 'pipe', 'pipe'] = ['ignore', 'pipe', 'pipe'];
    return spawn(this.#program, [...SAFE_OPTIONS, name, ...args], { ...this.#options(), stdio });
  }

  #options(): { readonly cwd: string; readonly env: NodeJS.ProcessEnv; readonly windowsHide: true } {
    return { cwd: this.#folder, env: (this.#environment ??= safeEnvironment(process.env)), windowsHide: true };
  }
}

function feed(stdin: Writable, input: string | Promise<string>, reject: (error: Error) => void): void {
  stdin.on('error', () => undefined); // it may end before it has read all: its status tells
  if (typeof input === 'string') stdin.end(input);
  else
    input.then(
      (text) => stdin.end(text),
      (error: unknown) => {
        stdin.end();
        reject(error instanceof Error ? error : new Error(String(error)));
      },
    );
}

/** The caller's environment without what redirects git; a hook that runs us has such variables set for another repository. */
export function safeEnvironment(environment: NodeJS.ProcessEnv): NodeJS.ProcessEnv {
  const kept = Object.entries(environment).filter(([key]) => !/^(?:GIT_|LC_ALL$|LANGUAGE$)/iu.test(key));
  return { ...Object.fromEntries(kept), ...SAFE_ENVIRONMENT };
}

function findGit(path: string): string {
  const names = process.platform === 'win32' ? ['git.exe'] : ['git'];
  for (const folder of path.split(delimiter)) {
    if (!isAbsolute(folder)) continue;
    for (const name of names) if (isProgram(join(folder, name))) return join(folder, name);
  }
  throw new RevisionFault(
    'git was not found.',
    'Install git, or put it on PATH: the history of the files is read with it.',
  );
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return statSync(path).isFile();
  } catch {
    return false;
  }
}
