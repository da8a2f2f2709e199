import { worseVerdict } from '../../review/bands';
import type { JudgedResult, Verdict } from '../../review/judgedResult';
import { verdictSentence, verdictWord } from '../../review/verdictSentence';
import { countText } from '../../review/wording';
import { clip, spellHidden } from '../../text/visible';
import type { CompareTarget, TreeNode } from '../../protocol/requests';
import { nameOfUri } from '../folderUri';
import type { Repository } from '../repository';

/** Longest name that a tree shows. */
const LONGEST = 80;

/** Specs, dampers, builds and results; above them the repositories where there are several. */
export function treeOf(repositories: readonly Repository[]): readonly TreeNode[] {
  if (repositories.length === 1) return specNodes(repositories[0]!);
  return repositories.map((repository) => {
    const children = specNodes(repository);
    return node('repository', repository.folder.uri, nameOfUri(repository.folder.uri), children);
  });
}

function specNodes(repository: Repository): readonly TreeNode[] {
  const root = repository.folder.uri;
  return grouped(repository.results, (result) => result.spec?.id ?? result.specId).map(([specId, ofSpec]) => {
    const spec = ofSpec.find((result) => result.spec !== undefined)?.spec;
    const id = `${root} spec ${specId}`;
    const dampers = grouped(ofSpec, (result) => result.serial).map(([serial, ofDamper]) =>
      damperNode(repository, `${id} damper ${serial}`, serial, ofDamper),
    );
    return {
      ...node('spec', id, specId === '' ? 'no spec stated' : specId, dampers),
      ...(spec?.title !== undefined && { tooltip: shown(spec.title) }),
      ...(spec !== undefined && { uri: repository.folder.uriOf(spec.file) }),
    };
  });
}

function damperNode(repository: Repository, id: string, serial: string, ofDamper: readonly JudgedResult[]): TreeNode {
  const builds = grouped(ofDamper, (result) => result.build).map(([build, ofBuild]) => {
    const results = ofBuild.map((result) => resultNode(repository, result));
    return {
      ...node('build', `${id} build ${build}`, build === '' ? 'build not stated' : `build ${build}`, results),
      ...(serial !== '' && { target: targetOf(repository, `${serial}/${build}`) }),
    };
  });
  return node('damper', id, serial === '' ? 'serial not stated' : serial, builds);
}

function resultNode({ folder }: Repository, result: JudgedResult): TreeNode {
  const name = result.file.slice(result.file.lastIndexOf('/') + 1);
  const worst = result.worst === undefined ? undefined : result.points[result.worst];
  const line = worst === undefined ? 0 : (result.table.rows[worst.row]?.line ?? 0);
  return {
    id: `${folder.uri} result ${result.file}`,
    kind: 'result',
    label: shown(name),
    description: verdictWord(result.verdict, result.spec?.purpose),
    tooltip: spellHidden(verdictSentence(result)),
    verdict: result.verdict,
    uri: folder.uriOf(result.file),
    ...(line > 0 && { line }),
    target: folder.uriOf(result.file),
    children: [],
  };
}

function node(kind: TreeNode['kind'], id: string, label: string, children: readonly TreeNode[]): TreeNode {
  const verdict = worstOf(children);
  return {
    id,
    kind,
    label: shown(label),
    ...(verdict !== undefined && { verdict, description: summary(children) }),
    children,
  };
}

function worstOf(nodes: readonly TreeNode[]): Verdict | undefined {
  const verdicts = nodes.flatMap(({ verdict }) => verdict ?? []);
  return verdicts.length === 0 ? undefined : verdicts.reduce(worseVerdict);
}

/** `1 fail, 2 pass`. */
function summary(nodes: readonly TreeNode[]): string {
  const counts = { fail: 0, undecided: 0, pass: 0 };
  const open = [...nodes];
  for (let at = open.pop(); at !== undefined; at = open.pop()) {
    open.push(...at.children);
    if (at.kind === 'result' && at.verdict !== undefined) counts[at.verdict] += 1;
  }
  return (['fail', 'undecided', 'pass'] as const)
    .filter((verdict) => counts[verdict] > 0)
    .map((verdict) => `${counts[verdict]} ${verdict}`)
    .join(', ');
}

function grouped(
  results: readonly JudgedResult[],
  keyOf: (result: JudgedResult) => string,
): readonly (readonly [string, readonly JudgedResult[]])[] {
  const groups = new Map<string, JudgedResult[]>();
  for (const result of [...results].sort((a, b) => (a.file < b.file ? -1 : 1))) {
    const key = keyOf(result);
    groups.set(key, [...(groups.get(key) ?? []), result]);
  }
  return [...groups].sort(([a], [b]) => a.localeCompare(b, 'en', { numeric: true }));
}

/** Everything that `compare` can be asked about: builds first, then single results. */
export function compareTargetsOf(repositories: readonly Repository[]): readonly CompareTarget[] {
  return repositories.flatMap((repository) => {
    const named = repository.results.filter(({ serial }) => serial !== '');
    const builds = grouped(named, ({ serial, build }) => `${serial}/${build}`).map(([name, results]) => ({
      label: shown(name.replace('/', ' build ')),
      description: `${countText(results.length, 'result')} of ${shown(results[0]!.spec?.id ?? results[0]!.specId)}`,
      target: targetOf(repository, name),
    }));
    const single = repository.results.map((result) => ({
      label: shown(result.file),
      description: spellHidden(verdictSentence(result)),
      target: repository.folder.uriOf(result.file),
    }));
    return [...builds, ...single];
  });
}

/** A build's name with its repository, since two repositories may have the same. */
function targetOf({ folder }: Repository, name: string): string {
  return `${folder.uri}#${encodeURIComponent(name)}`;
}

function shown(text: string): string {
  return clip(spellHidden(text), LONGEST);
}
