/** A section of `npm run accuracy` or `npm run bench`, which prints figures. */
export interface Section {
  readonly name: string;
  run(print: (line: string) => void): void | Promise<void>;
}

/**
 * Runs the sections named on the command line, or all, one after another, and prints the time of each.
 *
 * @param load Modules by section name, loaded only when run.
 * @param names Section names or prefixes: `scale` runs all sections that begin with `scale-`. All sections if
 * empty.
 */
export async function runSections(
  load: Readonly<Record<string, () => Promise<{ readonly section: Section }>>>,
  names: readonly string[],
): Promise<void> {
  const named = (name: string): string[] =>
    Object.hasOwn(load, name) ? [name] : Object.keys(load).filter((key) => key.startsWith(`${name}-`));
  const unknown = names.find((name) => named(name).length === 0);
  if (unknown !== undefined) {
    console.error(`Unexpected section "${unknown}", expected one of ${Object.keys(load).join(', ')}.`);
    process.exitCode = 2;
    return;
  }
  for (const name of names.length === 0 ? Object.keys(load) : names.flatMap(named)) {
    const { section } = await load[name]();
    const started = performance.now();
    console.log(`\n# ${section.name}`);
    await section.run((line) => console.log(line));
    console.log(`(${((performance.now() - started) / 1000).toFixed(1)} s)`);
  }
}
