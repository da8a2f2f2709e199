// A real editor for the tests and for `npm run editor`: the npm package code-server, pinned with its own lock, kept in the user's cache folder.
import { spawn, spawnSync } from 'node:child_process';
import { copyFileSync, existsSync, mkdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { homedir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const VERSION = JSON.parse(readFileSync(join(here, 'package.json'), 'utf8')).dependencies['code-server'];

/** Folder that the editor is installed in, once for every work tree of a user. */
export function hostFolder() {
  const cache = process.env.XDG_CACHE_HOME ?? join(homedir(), '.cache');
  return process.env.DAMPER_EDITOR_HOST ?? join(cache, 'damper-spec-review', `editor-host-${VERSION}`);
}

/** Installs it where its stamp is missing. Needs python3, make, g++ (one native module is built) and ripgrep. */
export function installHost() {
  const folder = hostFolder();
  const stamp = join(folder, '.ready');
  const wanted = `${VERSION} node${process.versions.modules}`;
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return folder;
  process.stderr.write(`Installing the editor host in ${folder} (once, about a minute) ...\n`);
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  for (const name of ['package.json', 'package-lock.json']) copyFileSync(join(here, name), join(folder, name));
  const npm = (where, ...args) => {
    run(where, 'npm', ...args, '--no-audit', '--no-fund');
  };
  npm(folder, 'ci', '--ignore-scripts');
  npm(folder, 'rebuild', 'argon2'); // the front server loads it at start
  const workbench = join(folder, 'node_modules/code-server/lib/vscode');
  // Its lock leaves out packages that only other packages' peers ask for; npm holds that against it otherwise.
  npm(workbench, 'ci', '--omit=dev', '--ignore-scripts', '--legacy-peer-deps');
  npm(workbench, 'rebuild', '@vscode/spdlog'); // the server's log
  link(join(workbench, 'node_modules'), join(workbench, 'node_modules.asar'));
  const ripgrep = spawnSync('sh', ['-c', 'command -v rg'], { encoding: 'utf8' }).stdout.trim();
  if (ripgrep === '') throw new Error('ripgrep (rg) is missing: install the package ripgrep.');
  mkdirSync(join(workbench, 'node_modules/@vscode/ripgrep/bin'), { recursive: true });
  link(ripgrep, join(workbench, 'node_modules/@vscode/ripgrep/bin/rg'));
  writeFileSync(stamp, wanted);
  return folder;
}

function link(target, path) {
  rmSync(path, { recursive: true, force: true });
  symlinkSync(target, path);
}

function run(cwd, command, ...args) {
  const done = spawnSync(command, args, { cwd, stdio: ['ignore', 2, 2] });
  if (done.status !== 0) throw new Error(`${command} ${args.join(' ')} failed in ${cwd}.`);
}

const program = (folder) => join(folder, 'node_modules/code-server');
const QUIET = ['--disable-telemetry', '--disable-update-check'];

/** What the editor must not take from the machine that the tests run on. */
function cleanEnvironment() {
  const kept = Object.entries(process.env).filter(
    ([name]) => !/^(?:VSCODE|CODE_SERVER|ELECTRON|VITEST|NODE_OPTIONS)/.test(name),
  );
  return Object.fromEntries(kept);
}

/** Installs a packed extension, as a user does. */
export function installExtension(vsix, extensionsFolder) {
  const done = spawnSync(
    process.execPath,
    [
      program(hostFolder()),
      '--install-extension',
      vsix,
      '--extensions-dir',
      extensionsFolder,
      '--user-data-dir',
      `${extensionsFolder}-data`,
    ],
    { encoding: 'utf8', env: cleanEnvironment() },
  );
  if (done.status !== 0) throw new Error(`The extension could not be installed:\n${done.stdout}\n${done.stderr}`);
}

/** Starts an editor and gives its address when it answers; `stop` ends every process of it. */
export async function startHost({ userFolder, extensionsFolder, settings = {}, trusted = true, port }) {
  const chosen = port ?? (await freePort());
  mkdirSync(join(userFolder, 'User'), { recursive: true });
  writeFileSync(join(userFolder, 'User/settings.json'), JSON.stringify(settings, null, 2));
  const output = [];
  const child = spawn(
    process.execPath,
    [
      program(hostFolder()),
      ...['--auth', 'none', '--bind-addr', `127.0.0.1:${chosen}`],
      ...['--user-data-dir', userFolder, '--extensions-dir', extensionsFolder],
      ...QUIET,
      ...(trusted ? ['--disable-workspace-trust'] : []),
    ],
    {
      cwd: userFolder,
      env: { ...cleanEnvironment(), XDG_DATA_HOME: userFolder },
      stdio: ['ignore', 'pipe', 'pipe'],
      detached: true,
    },
  );
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (text) => output.push(String(text)));
  const ended = new Promise((resolve) => child.once('exit', resolve));
  // However this process ends, the editor ends with it.
  const last = () => signalGroup(child.pid, 'SIGKILL');
  process.once('exit', last);
  for (const signal of ['SIGTERM', 'SIGHUP']) process.once(signal, last);
  const url = `http://127.0.0.1:${chosen}`;
  const stop = async () => {
    signalGroup(child.pid, 'SIGTERM');
    if ((await Promise.race([ended.then(() => 'ended'), pause(5000)])) !== 'ended') signalGroup(child.pid, 'SIGKILL');
    signalGroup(child.pid, 'SIGKILL'); // whatever of the group outlived it
  };
  for (let tries = 0; !(await answers(url)); tries += 1) {
    if (child.exitCode !== null || tries > 600) {
      await stop();
      throw new Error(`The editor did not start:\n${output.join('')}`);
    }
    await pause(100);
  }
  return { url, stop, output: () => output.join('') };
}

function signalGroup(pid, signal) {
  try {
    process.kill(-pid, signal);
  } catch {
    // it has ended
  }
}

async function answers(url) {
  try {
    return (await fetch(`${url}/healthz`)).ok;
  } catch {
    return false;
  }
}

function pause(milliseconds) {
  return new Promise((resolve) => {
    setTimeout(resolve, milliseconds);
  });
}

function freePort() {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const { port } = server.address();
      server.close(() => {
        resolve(port);
      });
    });
  });
}
