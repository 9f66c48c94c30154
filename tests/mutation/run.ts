import { availableParallelism } from 'node:os';
import { type Fault, GROUPS, type Group, HELD } from './fault.ts';
import { accounting } from './faults/accounting.ts';
import { formats } from './faults/formats.ts';
import { model } from './faults/model.ts';
import { safety } from './faults/safety.ts';
import { words } from './faults/words.ts';
import { runTests, type TestRun } from './run-tests.ts';
import { createScratchTree, type ScratchTree } from './scratch-tree.ts';

const FAULTS: Readonly<Record<Group, readonly Fault[]>> = { safety, accounting, model, formats, words };
/** Time limit of all these tests on the unchanged source, s. */
const LONGEST_SOUND = 600;
/** Maximum number of copies in use at once; more would only wait for each other. */
const MAX_TREES = 4;

interface Tried extends TestRun {
  readonly group: Group;
  readonly fault: Fault;
  readonly seconds: number;
}

/**
 * `npm run mutate [GROUP...]`: puts one fault at a time into a copy of the source and runs the tests that
 * guard it.
 *
 * Exits with 1 if a safety or accounting fault survives, with 2 if a group is unknown, a fault does not match
 * the source or keeps tests from running, or the tests fail without any fault.
 */
async function main(names: readonly string[]): Promise<void> {
  const unknown = names.find((name) => !(GROUPS as readonly string[]).includes(name));
  if (unknown !== undefined)
    return refuse([`There is no group "${unknown}". The groups are ${GROUPS.join(', ')}.`]);
  const chosen = GROUPS.filter((group) => names.length === 0 || names.includes(group)).flatMap((group) =>
    FAULTS[group].map((fault) => ({ group, fault })),
  );
  const root = new URL('../..', import.meta.url).pathname;
  const trees = Array.from({ length: Math.min(MAX_TREES, availableParallelism()) }, () =>
    createScratchTree(root),
  );
  const clear = (): void => {
    for (const tree of trees) tree.remove();
  };
  process.once('exit', clear);
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
    process.once(signal, () => process.exit(130));
  const misfits = chosen.flatMap(({ fault }) => misfitOf(fault, trees[0]));
  if (misfits.length > 0) return refuse(misfits);
  const sound = await runTests(
    trees[0].folder,
    [...new Set(chosen.flatMap(({ fault }) => fault.tests))].sort(),
    LONGEST_SOUND,
  );
  if (sound.outcome !== 'passed')
    return refuse([`The tests do not pass without any fault: ${sound.reason}.`]);
  const tried = await tryAll(chosen, trees);
  print(tried);
  const broken = tried.filter(({ outcome }) => outcome === 'broken');
  if (broken.length > 0)
    return refuse(
      broken.map(({ fault, reason }) => `"${fault.name}" keeps the tests from running: ${reason}`),
    );
  if (tried.some(({ group, outcome }) => outcome === 'passed' && HELD.includes(group))) process.exitCode = 1;
}

function refuse(lines: readonly string[]): void {
  console.error(lines.join('\n'));
  process.exitCode = 2;
}

/** Returns the reason why a fault cannot be inserted; empty if it can. */
function misfitOf({ name, file, find, replace }: Fault, tree: ScratchTree): string[] {
  const times = tree.read(file).split(find).length - 1;
  if (find === replace) return [`"${name}" changes nothing.`];
  return times === 1 ? [] : [`"${name}": found ${times} times in ${file}, expected once: ${find}`];
}

/** Tries all faults, with one fault at a time in each copy. */
async function tryAll(
  chosen: readonly { readonly group: Group; readonly fault: Fault }[],
  trees: readonly ScratchTree[],
): Promise<Tried[]> {
  const tried: Tried[] = [];
  const waiting = chosen.map((one, at) => ({ ...one, at }));
  await Promise.all(
    trees.map(async (tree) => {
      for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
        const { group, fault, at } = next;
        const before = tree.read(fault.file);
        const started = performance.now();
        tree.write(
          fault.file,
          before.replace(fault.find, () => fault.replace),
        );
        const run = await runTests(tree.folder, fault.tests);
        tree.write(fault.file, before);
        tried[at] = { group, fault, ...run, seconds: (performance.now() - started) / 1000 };
        console.error(`${tried[at].outcome === 'passed' ? 'SURVIVES' : 'caught'} ${group}: ${fault.name}`);
      }
    }),
  );
  return tried;
}

function print(tried: readonly Tried[]): void {
  for (const group of GROUPS) {
    const own = tried.filter((one) => one.group === group);
    if (own.length === 0) continue;
    const surviving = own.filter(({ outcome }) => outcome === 'passed');
    console.log(`\n# ${group}: ${own.length - surviving.length} of ${own.length} caught`);
    for (const { outcome, fault, seconds, reason } of own)
      console.log(
        `${outcome === 'passed' ? 'SURVIVES' : 'caught  '} ${seconds.toFixed(1).padStart(5)} s  ${fault.name}${reason === '' ? '' : `  <- ${reason}`}`,
      );
  }
  const seconds = tried.reduce((sum, one) => sum + one.seconds, 0);
  const surviving = tried.filter(({ outcome }) => outcome === 'passed').length;
  console.log(
    `\n${tried.length} faults, ${tried.length - surviving} caught, ${surviving} surviving; ${(seconds / tried.length).toFixed(1)} s per fault`,
  );
}

await main(process.argv.slice(2));
