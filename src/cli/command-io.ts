import { groupBy } from 'es-toolkit/array';
import {
  type Diagnostic,
  type DisplayUnits,
  formatDiagnostic,
  inUnits,
  jsonDiagnostic,
  mergeBySentence,
  Refusal,
  stackOf,
  visible,
} from '../../shared/contract/index.ts';

/** Maximum number of sentences printed in full for one message code. */
const SAID_IN_FULL = 3;

export type CommandIo = ReturnType<typeof createCommandIo>;

/**
 * Opens the output of a command. Requested results go to standard output, and all other text to standard
 * error. Control characters are shown in visible form, so that the terminal does not act on them.
 */
export function createCommandIo(asJson: boolean, units: DisplayUnits) {
  const isDebug = process.argv.includes('--debug');
  const { show, clear } = createProgress(process.stderr);
  let collected: Diagnostic[] = [];
  const note = (text: string): void => {
    clear();
    process.stderr.write(`${visible(text)}\n`);
  };
  const textOf = (diagnostic: Diagnostic): string =>
    `${formatDiagnostic(diagnostic, units)}${isDebug ? stackOf(diagnostic) : ''}`;
  /** Returns a refusal with lengths in the user's units, for whoever prints it; with `--json` unchanged. */
  const inUnitsOf = (refusal: Refusal): Refusal =>
    asJson
      ? refusal
      : new Refusal(
          refusal.diagnostics.map((each) => ({ ...each, message: inUnits(each.message, units) })),
          refusal.status,
        );
  const errors = new Map<string, number>();
  /**
   * Prints the collected diagnostics. A sentence about several logs is printed once. Of each code only the
   * first sentences are printed, followed by the number of the rest.
   */
  const reportCollected = (): void => {
    for (const all of Object.values(groupBy(collected, ({ severity, code }) => `${severity} ${code}`))) {
      const sentences = mergeBySentence(all);
      // The first errors with this code have already been printed.
      const full = all[0].severity === 'error' ? 0 : SAID_IN_FULL;
      for (const said of sentences.slice(0, full)) note(textOf(said));
      const rest = sentences.slice(full);
      if (rest.length > 0) note(formatDiagnostic(moreLikeThese(rest)));
    }
    collected = [];
    errors.clear();
  };
  return {
    /** Shows the progress of long work. @param share 0 to 1, or undefined when unknown. */
    progress: show,
    inUnitsOf,
    clearProgress: clear,
    note,
    /** Prints the first errors of each code, or with `--json` everything. `reportingAll` prints the rest. */
    report(diagnostic: Diagnostic) {
      if (asJson) return note(jsonDiagnostic(diagnostic));
      const { severity, code } = diagnostic;
      if (severity === 'error') {
        errors.set(code, (errors.get(code) ?? 0) + 1);
        if (errors.get(code)! <= SAID_IN_FULL) return note(textOf(diagnostic));
      }
      collected.push(diagnostic);
    },
    /**
     * Does the work, then prints the collected diagnostics, even after a refusal.
     *
     * @throws What the work throws, with the lengths of a refusal in the user's units.
     */
    async reportingAll<T>(work: () => T | Promise<T>): Promise<T> {
      try {
        return await work();
      } catch (cause) {
        throw cause instanceof Refusal ? inUnitsOf(cause) : cause;
      } finally {
        reportCollected();
      }
    },
    print: (text: string): void => {
      clear();
      process.stdout.write(visible(text));
    },
  };
}

function moreLikeThese(rest: readonly Diagnostic[]): Diagnostic {
  const [{ severity, code }] = rest;
  const files = new Set(rest.map(({ place }) => place?.file)).size;
  const where = files > 1 ? ` in ${files} files` : '';
  return { severity, code, message: `${rest.length} more like these${where}; --json lists them all.` };
}

/** Minimum time between two updates of the progress line, ms. */
const INTERVAL = 100;

function createProgress(stream: NodeJS.WriteStream) {
  let last = 0;
  let started = 0;
  let task = '';
  let drawn = false;
  return {
    show(what: string, share?: number): void {
      if (!stream.isTTY) return;
      const now = Date.now();
      if (what !== task) {
        task = what;
        started = now;
      } else if (now - last < INTERVAL) return;
      last = now;
      drawn = true;
      const done = share === undefined ? '' : ` ${Math.floor(share * 100)}%${timeLeft(now - started, share)}`;
      stream.write(`\r\u001b[K${what}${done}`);
    },
    clear(): void {
      if (drawn) stream.write('\r\u001b[K');
      drawn = false;
    },
  };
}

/** Describes the time left; empty in the first 2 s, in the first 2 % and when done. @param elapsed ms. */
function timeLeft(elapsed: number, share: number): string {
  if (elapsed < 2000 || share <= 0.02 || share >= 1) return '';
  return `, ${Math.ceil((elapsed * (1 - share)) / share / 1000)} s left`;
}
