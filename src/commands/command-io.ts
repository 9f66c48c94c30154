import { type Diagnostic, formatDiagnostic } from '../../shared/diagnostics/diagnostic.ts';
import { createProgress, type Progress } from './progress.ts';

/** Where a command prints: what was asked for on standard output, everything else on standard error. */
export interface CommandIo {
  readonly progress: Progress;
  /**
   * Says a diagnostic, as text or as a JSON line.
   *
   * As text, only the first few of one code in one file; `sayRest` counts the others.
   */
  say(diagnostic: Diagnostic): void;
  /** One line for each code and file of which not all were said. */
  sayRest(): void;
  /** Something a person reads, on standard error. */
  note(text: string): void;
  /** What was asked for, on standard output. */
  print(text: string): void;
}

/** Diagnostics of one code in one file that are said in full. */
const SAID_IN_FULL = 3;

export function createCommandIo(asJson: boolean): CommandIo {
  const progress = createProgress(process.stderr);
  const counts = new Map<string, { count: number; diagnostic: Diagnostic }>();
  const note = (text: string): void => {
    progress.clear();
    process.stderr.write(`${text}\n`);
  };
  return {
    progress,
    note,
    say(diagnostic) {
      if (asJson) return note(JSON.stringify(diagnostic));
      const key = `${diagnostic.place?.file ?? ''}\n${diagnostic.code}`;
      const count = (counts.get(key)?.count ?? 0) + 1;
      counts.set(key, { count, diagnostic });
      if (count <= SAID_IN_FULL) note(formatDiagnostic(diagnostic));
    },
    sayRest() {
      for (const { count, diagnostic } of counts.values()) {
        const { severity, code, place } = diagnostic;
        const message = `${count - SAID_IN_FULL} more like these; --json lists them all.`;
        if (count > SAID_IN_FULL)
          note(formatDiagnostic({ severity, code, message, place: { file: place?.file } }));
      }
      counts.clear();
    },
    print: (text) => {
      progress.clear();
      process.stdout.write(text);
    },
  };
}
