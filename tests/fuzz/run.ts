/** One kind of hostile input. */
interface FuzzSection {
  readonly name: string;
  /** Number of inputs without `--count`. */
  readonly standard?: number;
  run(count: number, seed: number, print: (line: string) => void): unknown;
}

const SECTIONS: Readonly<Record<string, () => Promise<{ readonly section: FuzzSection }>>> = {
  attacks: () => import('./hostile.ts'),
  gpx: () => import('./gpx.ts'),
  growing: () => import('./growing.ts'),
  kill: () => import('./kill.ts'),
  readers: () => import('./readers.ts'),
  soundings: () => import('./soundings.ts'),
  'two-at-once': () => import('./two-at-once.ts'),
};
const COUNT = 1_000_000;

/** `npm run fuzz [section...] [--count N] [--seed N]`: runs hostile inputs generated from a seed. */
async function main(argv: readonly string[]): Promise<void> {
  const numberOf = (flag: string, standard: number): number => {
    const at = argv.indexOf(flag);
    return at < 0 ? standard : Number(argv[at + 1]);
  };
  const count = numberOf('--count', COUNT);
  const seed = numberOf('--seed', 1);
  const names = argv.filter((word, at) => !word.startsWith('--') && !argv[at - 1]?.startsWith('--'));
  const unknown = names.find((name) => !Object.hasOwn(SECTIONS, name));
  if (unknown !== undefined || !(count > 0) || !(seed >= 0)) {
    console.error(
      `Unexpected ${unknown ?? argv.join(' ')}, expected [${Object.keys(SECTIONS).join('|')}...] [--count N] [--seed N].`,
    );
    process.exitCode = 2;
    return;
  }
  for (const name of names.length === 0 ? Object.keys(SECTIONS) : names) {
    const { section } = await SECTIONS[name]();
    const started = performance.now();
    console.log(`# ${section.name}`);
    await section.run(argv.includes('--count') ? count : (section.standard ?? count), seed, (line) =>
      console.log(line),
    );
    console.log(`(${((performance.now() - started) / 1000).toFixed(1)} s)`);
  }
}

await main(process.argv.slice(2));
