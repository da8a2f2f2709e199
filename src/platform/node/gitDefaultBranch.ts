const HEADS = 'refs/heads/';
const REMOTES = 'refs/remotes/';

/**
 * The branch that the checked-out one will most likely go into, as the clone tells: what it was set to follow unless that is merely its own
 * copy elsewhere, else the default branch of `origin`, else one of the usual names. Undefined where none of them is there.
 *
 * @param symbolic full name of what a revision stands for. @param commit the commit of a revision
 */
export async function defaultBranch(
  symbolic: (revision: string) => Promise<string | undefined>,
  commit: (revision: string) => Promise<string | undefined>,
): Promise<{ readonly name: string } | undefined> {
  const own = (await symbolic('HEAD'))?.replace(HEADS, '');
  const upstream = await symbolic('@{upstream}');
  if (upstream !== undefined && !isCopyOf(upstream, own)) return { name: short(upstream) };
  const origin = await symbolic('refs/remotes/origin/HEAD');
  const usual = ['main', 'master', 'trunk'].flatMap((name) => [`${REMOTES}origin/${name}`, `${HEADS}${name}`]);
  for (const name of [...(origin === undefined ? [] : [origin]), ...usual]) {
    if (name === `${HEADS}${own ?? ''}` || (await commit(name)) === undefined) continue;
    return { name: short(name) };
  }
  return upstream === undefined ? undefined : { name: short(upstream) };
}

function isCopyOf(upstream: string, own: string | undefined): boolean {
  return own !== undefined && upstream.startsWith(REMOTES) && upstream.endsWith(`/${own}`);
}

function short(name: string): string {
  return name.replace(HEADS, '').replace(REMOTES, '');
}
