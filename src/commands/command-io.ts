import { type Diagnostic, formatDiagnostic, type Severity } from '../../shared/diagnostics/diagnostic.ts';
import { createProgress, type Progress } from './progress.ts';

/** Where a command prints: what was asked for on standard output, everything else on standard error. */
export interface CommandIo {
  readonly progress: Progress;
  /**
   * Says a diagnostic, as text or as a JSON line.
   *
   * As text, only the first few of one code; `sayRest` counts the others.
   */
  say(diagnostic: Diagnostic): void;
  /** One line for each code of which not all were said. */
  sayRest(): void;
  /** Something a person reads, on standard error. */
  note(text: string): void;
  /** What was asked for, on standard output. */
  print(text: string): void;
}

/** Diagnostics of one code that are said in full. */
const SAID_IN_FULL = 3;

export function createCommandIo(asJson: boolean): CommandIo {
  const progress = createProgress(process.stderr);
  const counts = new Map<string, { severity: Severity; count: number; files: Set<string | undefined> }>();
  const note = (text: string): void => {
    progress.clear();
    process.stderr.write(`${text}\n`);
  };
  return {
    progress,
    note,
    say(diagnostic) {
      if (asJson) return note(JSON.stringify(diagnostic));
      const { severity, code, place } = diagnostic;
      const known = counts.get(code) ?? { severity, count: 0, files: new Set() };
      counts.set(code, known);
      known.count++;
      if (known.count <= SAID_IN_FULL) note(formatDiagnostic(diagnostic));
      else known.files.add(place?.file);
    },
    sayRest() {
      for (const [code, { severity, count, files }] of counts) {
        if (count <= SAID_IN_FULL) continue;
        const where = files.size > 1 ? ` in ${files.size} files` : '';
        const message = `${count - SAID_IN_FULL} more like these${where}; --json lists them all.`;
        note(formatDiagnostic({ severity, code, message }));
      }
      counts.clear();
    },
    print: (text) => {
      progress.clear();
      process.stdout.write(text);
    },
  };
}
