import { type Diagnostic, formatDiagnostic } from '../../shared/diagnostics/diagnostic.ts';
import { createProgress, type Progress } from './progress.ts';

/** Where a command prints: what was asked for on standard output, everything else on standard error. */
export interface CommandIo {
  readonly progress: Progress;
  /** Says a diagnostic, as text or as a JSON line. */
  say(diagnostic: Diagnostic): void;
  /** Something a person reads, on standard error. */
  note(text: string): void;
  /** What was asked for, on standard output. */
  print(text: string): void;
}

export function createCommandIo(asJson: boolean): CommandIo {
  const progress = createProgress(process.stderr);
  const note = (text: string): void => {
    progress.clear();
    process.stderr.write(`${text}\n`);
  };
  return {
    progress,
    note,
    say: (diagnostic) => note(asJson ? JSON.stringify(diagnostic) : formatDiagnostic(diagnostic)),
    print: (text) => {
      progress.clear();
      process.stdout.write(text);
    },
  };
}
