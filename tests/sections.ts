/** A section of `npm run accuracy`, `bench` or `fuzz`, which prints figures. */
export interface Section {
  readonly name: string;
  run(print: (line: string) => void): void | Promise<void>;
}

/**
 * Runs the sections named on the command line, or all, one after another, and prints the time of each.
 *
 * @param load Modules by section name, loaded only when run.
 */
export async function runSections(
  load: Readonly<Record<string, () => Promise<{ readonly section: Section }>>>,
  names: readonly string[],
): Promise<void> {
  const unknown = names.find((name) => !Object.hasOwn(load, name));
  if (unknown !== undefined) {
    console.error(`Unexpected section "${unknown}", expected one of ${Object.keys(load).join(', ')}.`);
    process.exitCode = 2;
    return;
  }
  for (const name of names.length === 0 ? Object.keys(load) : names) {
    const { section } = await load[name]();
    const started = performance.now();
    console.log(`\n# ${section.name}`);
    await section.run((line) => console.log(line));
    console.log(`(${((performance.now() - started) / 1000).toFixed(1)} s)`);
  }
}
